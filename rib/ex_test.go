package rib_test

import (
	"context"
	"testing"

	"falsework/mesh/stl"
)

func TestExample(t *testing.T) {
	f, err := stl.ReadFile(context.Background(), "../examples/tide-housing.stl")
	if err != nil {
		t.Skip(err)
	}
	ribbed(t, f.Mesh, nil)
}
