package meshfile

import (
	"context"
	"fmt"
	"io"
	"os"

	"falsework/mesh"
	"falsework/mesh/internal/whole"
	"falsework/mesh/stl"
	"falsework/mesh/threemf"
)

// A File is what was read of a file of any format.
type File struct {
	Mesh    *mesh.Mesh
	Format  Format
	Records []byte         // of an STL file, as in stl.File; nil otherwise
	Unit    string         // that the file declares, and was converted from; empty for STL
	Objects []threemf.Part // of a 3MF file
	Items   int            // of its build
	Notes   []string       // what was left behind, in words
}

// ReadFile reads the file at path, whose format is known by its bytes, not by
// its name. The error is a [*stl.Error], a [*threemf.Error], one of the
// system, or that of ctx.
func ReadFile(ctx context.Context, path string) (*File, error) {
	data, err := stl.Load(ctx, path)
	if err != nil {
		return nil, err
	}
	return Parse(ctx, data, path)
}

// Read reads all of r. The name is for messages.
func Read(ctx context.Context, r io.Reader, name string) (*File, error) {
	data, err := whole.Stream(ctx, r)
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", name, err)
	}
	return Parse(ctx, data, name)
}

// Parse reads a file held in memory. The result may keep the data, which must
// not be changed afterwards.
func Parse(ctx context.Context, data []byte, name string) (*File, error) {
	if threemf.IsPackage(data) && !stl.FitsSize(data, int64(len(data))) {
		f, err := threemf.Parse(ctx, data, name)
		if err != nil {
			return nil, err
		}
		return &File{Mesh: f.Mesh, Format: ThreeMF, Unit: f.Unit, Objects: f.Objects, Items: f.Items, Notes: f.Notes}, nil
	}
	f, err := stl.Parse(ctx, data, name)
	if err != nil {
		return nil, err
	}
	return &File{Mesh: f.Mesh, Format: STL, Records: f.Records}, nil
}

// FormatOfFile returns the format of the file at path by its first bytes and
// its length. Where it cannot be read, the answer is STL: reading it will say
// why.
func FormatOfFile(path string) Format {
	f, err := os.Open(path)
	if err != nil {
		return STL
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil || !info.Mode().IsRegular() {
		return STL // a pipe's first bytes would be lost
	}
	b := make([]byte, stl.HeadSize)
	n, _ := io.ReadFull(f, b)
	if threemf.IsPackage(b[:n]) && (n < len(b) || !stl.FitsSize(b, info.Size())) {
		return ThreeMF
	}
	return STL
}
