package job

import (
	"bytes"
	"context"
	"errors"
	"io"
	"path/filepath"
	"testing"

	"falsework/mesh/meshtest"
	"falsework/mesh/stl"
	"falsework/mesh/union"
)

// What is proved is the bytes that are written: with a bit of one coordinate
// turned on the way to the file the job objects.
func TestProofIsOfTheBytes(t *testing.T) {
	path := filepath.Join(t.TempDir(), "frame.stl")
	m := meshtest.Blocks(meshtest.Add(0, 0, 0, 120, 20, 30), meshtest.Cut(5, 0, 0, 115, 20, 25))
	if err := stl.WriteFile(t.Context(), path, m, stl.Source{}); err != nil {
		t.Fatal(err)
	}
	v := values(t)
	for _, turn := range []bool{false, true} {
		l := Standard(nil)
		p, err := l.Read(t.Context(), Input{Path: path, Values: v})
		if err != nil {
			t.Fatal(err)
		}
		write := p.Write
		p.Write = func(ctx context.Context, w io.Writer, r *union.Result) error {
			var b bytes.Buffer
			if err := write(ctx, &b, r); err != nil {
				return err
			}
			if turn {
				b.Bytes()[b.Len()-10] ^= 0x40 // in the last corner of the last triangle
			}
			_, err := w.Write(b.Bytes())
			return err
		}
		out, err := l.Rib(t.Context(), p, v, false)
		switch {
		case !turn && (err != nil || out.Result == nil):
			t.Fatalf("unturned: %v", err)
		case turn && !errors.Is(err, ErrDisagrees):
			t.Errorf("a turned bit: %v", err)
		}
	}
}
