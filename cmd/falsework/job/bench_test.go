package job

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"falsework/cmd/falsework/settings"
	"falsework/mesh"
	"falsework/mesh/meshfile"
	"falsework/mesh/meshtest"
	"falsework/mesh/meshtest/property"
	"falsework/mesh/stl"
	"falsework/mesh/union"
	"falsework/rib"
	"falsework/span"
)

// divided are the sizes that stages are timed at: the example with no side
// longer than length. The large ones only with FALSEWORK_LONG=1.
var divided = []struct {
	name   string
	length float64
	large  bool
}{{"2k", 1e9, false}, {"8k", 30, false}, {"97k", 7, false}, {"1M", 2, true}, {"1.6M", 1.7, true}}

// dividedFile writes the example, so divided, and returns its path.
func dividedFile(tb testing.TB, length float64) string {
	tb.Helper()
	f, err := stl.ReadFile(tb.Context(), filepath.Join("..", "..", "..", "examples", "tide-housing.stl"))
	if err != nil {
		tb.Fatal(err)
	}
	path := filepath.Join(tb.TempDir(), "housing.stl")
	if err := stl.WriteFile(tb.Context(), path, meshtest.SubdivideTo(f.Mesh, length), stl.Source{}); err != nil {
		tb.Fatal(err)
	}
	return path
}

// A clock adds up the time spent in each stage of jobs.
type clock struct {
	spent map[string]time.Duration
}

func (c *clock) in(stage string, since time.Time) { c.spent[stage] += time.Since(since) }

// timed is the real line with its stages timed. "again" is writing the result
// and reading it back.
func timed(c *clock) *Line {
	l := Standard(nil)
	real := *l
	survey := "survey"
	l.Survey = func(ctx context.Context, m *mesh.Mesh, s span.Settings, o span.Options) (*span.Survey, error) {
		defer c.in(survey, time.Now())
		survey = "survey2"
		return real.Survey(ctx, m, s, o)
	}
	l.Plan = func(ctx context.Context, m *mesh.Mesh, s *span.Survey, set rib.Settings) (*rib.Plan, error) {
		defer c.in("plan", time.Now())
		return real.Plan(ctx, m, s, set)
	}
	l.Unite = func(m *mesh.Mesh, audit *mesh.Audit, tools []*mesh.Mesh) (*union.Result, error) {
		defer c.in("unite", time.Now())
		return real.Unite(m, audit, tools)
	}
	return l
}

// once runs the whole job on a file, to the bytes that would be written.
func once(tb testing.TB, c *clock, path string, v *settings.Values) *Outcome {
	start := time.Now()
	l := timed(c)
	p, err := l.Read(tb.Context(), Input{Path: path, Values: v})
	if err != nil {
		tb.Fatal(err)
	}
	c.in("read", start)
	out, err := l.Rib(tb.Context(), p, v, false)
	if err != nil {
		tb.Fatal(err)
	}
	if err := out.Write(tb.Context(), io.Discard); err != nil {
		tb.Fatal(err)
	}
	c.in("job", start)
	return out
}

func values(tb testing.TB) *settings.Values {
	v := settings.New()
	if err := v.Finish(); err != nil {
		tb.Fatal(err)
	}
	return v
}

// BenchmarkJob times the whole job, and its stages within it: reading,
// welding, audit and mending (read), both surveys, planning, uniting.
func BenchmarkJob(b *testing.B) {
	for _, d := range divided {
		b.Run(d.name, func(b *testing.B) {
			if d.large && !property.Long() {
				b.Skip("set FALSEWORK_LONG=1 for large parts")
			}
			path, v := dividedFile(b, d.length), values(b)
			c := &clock{spent: map[string]time.Duration{}}
			b.ReportAllocs()
			for b.Loop() {
				once(b, c, path, v)
			}
			for stage, t := range c.spent {
				if stage != "job" {
					b.ReportMetric(1e3*t.Seconds()/float64(b.N), stage+"-ms")
				}
			}
		})
	}
}

// BenchmarkSecondSurvey is the survey of the finished part alone, with the
// zones and ribs that the job tells it of.
func BenchmarkSecondSurvey(b *testing.B) {
	for _, d := range divided {
		b.Run(d.name, func(b *testing.B) {
			if d.large && !property.Long() {
				b.Skip("set FALSEWORK_LONG=1 for large parts")
			}
			path, v := dividedFile(b, d.length), values(b)
			l := Standard(nil)
			survey := l.Survey
			var again func() (*span.Survey, error)
			l.Survey = func(ctx context.Context, m *mesh.Mesh, s span.Settings, o span.Options) (*span.Survey, error) {
				again = func() (*span.Survey, error) { return survey(b.Context(), m, s, o) }
				return survey(ctx, m, s, o)
			}
			p, err := l.Read(b.Context(), Input{Path: path, Values: v})
			if err != nil {
				b.Fatal(err)
			}
			if _, err := l.Rib(b.Context(), p, v, false); err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			for b.Loop() {
				if _, err := again(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// TestLibrarySpeed prints how long the whole job takes beside what the outside
// library needs to read, weld, build, unite and write the same part and ribs.
// Nothing is asked of the ratio: machines differ.
func TestLibrarySpeed(t *testing.T) {
	folder := os.Getenv("FALSEWORK_OUTSIDE")
	if folder == "" {
		t.Skip("set FALSEWORK_OUTSIDE to where the library is installed")
	}
	path, v := dividedFile(t, divided[len(divided)-1].length), values(t)
	c := &clock{spent: map[string]time.Duration{}}
	out := once(t, c, path, v)
	ribs := filepath.Join(t.TempDir(), "ribs.stl")
	w, err := os.Create(ribs)
	if err != nil {
		t.Fatal(err)
	}
	if err := out.WriteRibs(t.Context(), w, meshfile.STL); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("node", filepath.Join(folder, "speed.mjs"), path, ribs, filepath.Join(t.TempDir(), "united.stl"))
	cmd.Stderr = os.Stderr
	answer, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	var lib struct {
		Total, Volume float64
		Status        string
	}
	if err := json.Unmarshal(answer, &lib); err != nil {
		t.Fatalf("%v in %s", err, answer)
	}
	ours := c.spent["job"].Seconds()
	fmt.Printf("speed: whole job %.2f s, the library's read, weld, build, unite and write %.2f s, ratio %.2f (%s; %s)\n",
		ours, lib.Total, ours/lib.Total, lib.Status, answer)
	if lib.Status != "NoError" {
		t.Errorf("the library refuses part or ribs: %s", lib.Status)
	}
}
