//go:build unix

package union

import (
	"context"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"falsework/mesh"
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

// A stageTimes is what stages took, by the clock and of the processor.
type stageTimes struct {
	clock, cpu map[string]time.Duration
	last       time.Time
	used       time.Duration
}

func newStageTimes() *stageTimes {
	return &stageTimes{clock: map[string]time.Duration{}, cpu: map[string]time.Duration{}}
}

func (s *stageTimes) start() { s.last, s.used = time.Now(), spent() }

func (s *stageTimes) mark(stage string) {
	s.clock[stage] += time.Since(s.last)
	s.cpu[stage] += spent() - s.used
	s.start()
}

// unite is Unite, audited, with its stages marked.
func (s *stageTimes) unite(part *mesh.Mesh, audit *mesh.Audit, tools []*mesh.Mesh) error {
	op := unite
	op.known, op.mark = audit, s.mark
	s.start()
	tool, err := Combine(tools)
	if err != nil {
		return err
	}
	op.done("combine")
	_, err = run(part, tool, op, true)
	return err
}

// milliseconds of a single one of n rounds.
func milliseconds(d time.Duration, n int) float64 {
	return float64(d.Microseconds()) / 1e3 / float64(n)
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
			s := newStageTimes()
			for b.Loop() {
				if err := s.unite(tr.part, audit, tr.tools); err != nil {
					b.Fatal(err)
				}
			}
			for stage := range s.clock {
				b.ReportMetric(milliseconds(s.clock[stage], b.N), stage+"-ms")
				b.ReportMetric(milliseconds(s.cpu[stage], b.N), stage+"-cpu-ms")
			}
		})
	}
}

// aloneStages are those that a union cannot do without: gather, cut, classify,
// stitch. The tools made one solid before and the proof of the result are not
// among them.
var aloneStages = []string{"grid", "gather", "cut", "classify", "split", "repair", "stitch"}

// BenchmarkUnionAlone reads, welds and unites the same file in turn, and
// reports the processor time of the union alone as a share of that of reading and
// welding: what both suffer from on a busy machine cancels out.
func BenchmarkUnionAlone(b *testing.B) {
	ctx := context.Background()
	tr := benchHouse(7)
	part := filepath.Join(b.TempDir(), "part.stl")
	if err := stl.WriteFile(ctx, part, tr.part, stl.Source{}); err != nil {
		b.Fatal(err)
	}
	audit, err := tr.part.Audit(ctx)
	if err != nil {
		b.Fatal(err)
	}
	s := newStageTimes()
	for b.Loop() {
		runtime.GC() // nobody pays for what another left
		s.start()
		file, err := stl.ReadFile(ctx, part)
		if err != nil {
			b.Fatal(err)
		}
		s.mark("read+weld")
		runtime.GC()
		if err := s.unite(file.Mesh, audit, tr.tools); err != nil {
			b.Fatal(err)
		}
	}
	var alone, all, aloneClock time.Duration
	for stage, d := range s.cpu {
		if stage != "read+weld" {
			all += d
		}
		if slices.Contains(aloneStages, stage) {
			alone += d
			aloneClock += s.clock[stage]
		}
	}
	read := s.cpu["read+weld"]
	b.ReportMetric(milliseconds(read, b.N), "read+weld-cpu-ms")
	b.ReportMetric(milliseconds(alone, b.N), "alone-cpu-ms")
	b.ReportMetric(milliseconds(all, b.N), "unite-cpu-ms")
	b.ReportMetric(alone.Seconds()/read.Seconds(), "alone/read+weld")
	b.ReportMetric(aloneClock.Seconds()/s.clock["read+weld"].Seconds(), "alone/read+weld-clock")
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
