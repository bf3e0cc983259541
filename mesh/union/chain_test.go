//go:build unix

package union

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"falsework/mesh/stl"
)

// spent is the processor time that this process has used. On a busy machine it
// says more than the clock.
func spent() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkStages takes the same housing through the union stage by stage and
// reports what each takes by the clock, and of the processor.
func BenchmarkStages(b *testing.B) {
	for _, times := range []int{3, 5, 7} {
		tr := benchHouse(times)
		audit, err := tr.part.Audit(context.Background())
		if err != nil {
			b.Fatal(err)
		}
		b.Run(fmt.Sprintf("triangles=%d", len(tr.part.Triangles)), func(b *testing.B) {
			clock, cpu := map[string]time.Duration{}, map[string]time.Duration{}
			for b.Loop() {
				last, used := time.Now(), spent()
				op := unite
				op.known = audit
				op.mark = func(stage string) {
					clock[stage] += time.Since(last)
					cpu[stage] += spent() - used
					last, used = time.Now(), spent()
				}
				tool, err := Combine(tr.tools)
				if err != nil {
					b.Fatal(err)
				}
				op.done("combine")
				if _, err := run(tr.part, tool, op, true); err != nil {
					b.Fatal(err)
				}
			}
			for stage := range clock {
				b.ReportMetric(float64(clock[stage].Microseconds())/1e3/float64(b.N), stage+"-ms")
				b.ReportMetric(float64(cpu[stage].Microseconds())/1e3/float64(b.N), stage+"-cpu-ms")
			}
		})
	}
}

// BenchmarkChain takes a housing of 1.5 million triangles with 12 webs and 20
// braces through reading and welding, auditing, uniting and writing, each by
// itself, and reports the processor time of each beside the clock's. With
// FALSEWORK_OUTSIDE set the outside library does the same from and to files;
// compare the sums.
func BenchmarkChain(b *testing.B) {
	ctx := context.Background()
	dir := b.TempDir()
	tr := benchHouse(7)
	part := filepath.Join(dir, "part.stl")
	if err := stl.WriteFile(ctx, part, tr.part, stl.Source{}); err != nil {
		b.Fatal(err)
	}
	for i, t := range tr.tools {
		if err := stl.WriteFile(ctx, filepath.Join(dir, fmt.Sprintf("tool-%03d.stl", i)), t, stl.Source{}); err != nil {
			b.Fatal(err)
		}
	}
	var file *stl.File
	var result *Result
	for _, step := range []struct {
		name string
		do   func() error
	}{
		{"read+weld", func() (err error) { file, err = stl.ReadFile(ctx, part); return err }},
		{"audit", func() (err error) { _, err = file.Mesh.Audit(ctx); return err }},
		{"unite", func() (err error) { result, err = Unite(file.Mesh, tr.tools); return err }},
		{"write", func() error {
			return stl.WriteFile(ctx, filepath.Join(dir, "out.stl"), result.Mesh, stl.Source{Records: file.Records, Of: result.Source})
		}},
	} {
		b.Run(step.name, func(b *testing.B) {
			b.ReportAllocs()
			before := spent()
			for b.Loop() {
				if err := step.do(); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64((spent()-before).Milliseconds())/float64(b.N), "cpu-ms/op")
		})
	}
	b.Run("outside", func(b *testing.B) { outsideChain(b, dir) })
}

func outsideChain(b *testing.B, dir string) {
	home := os.Getenv("FALSEWORK_OUTSIDE")
	if home == "" {
		b.Skip("FALSEWORK_OUTSIDE is not set")
	}
	sum := map[string]float64{}
	for b.Loop() {
		cmd := exec.Command("node", "chain.mjs", dir)
		cmd.Dir = home
		cmd.Stderr = os.Stderr
		out, err := cmd.Output()
		if err != nil {
			b.Fatal(err)
		}
		var cpu map[string]float64 // milliseconds by step
		if err := json.Unmarshal(out, &cpu); err != nil {
			b.Fatal(err)
		}
		for k, v := range cpu {
			sum[k] += v
		}
	}
	for k, v := range sum {
		b.ReportMetric(v/float64(b.N), strings.ReplaceAll(k, " ", "-")+"-cpu-ms/op")
	}
}
