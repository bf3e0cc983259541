package rib

import (
	"testing"

	"falsework/mesh"
	"falsework/span"
)

// surveyOf surveys a part with the values that are built in.
func surveyOf(t *testing.T, part *mesh.Mesh) *span.Survey {
	t.Helper()
	s, err := span.Run(t.Context(), part, span.Defaults(), span.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}
