// Command tidehousing makes the example part: the housing of a coastal tide
// gauge, standing as it is printed. Its front bows outward and has a wide
// reading window and, from the bed up, the doorway of a battery drawer; its
// roof steps up behind and has a round hole for the mast; its back is open
// until a plate closes it. These need help while printing. Vent slots, two
// cable glands and drip edges with undersides at 45 degrees need none.
//
//	go run ./examples/tidehousing examples/tide-housing.stl
//
// The solid is exact: convex bricks on a grid of one micron that share whole
// faces (brick.go), laid course by course (housing.go).
package main

import (
	"context"
	"fmt"
	"os"

	"falsework/mesh/stl"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: tidehousing FILE.stl")
		os.Exit(2)
	}
	if err := stl.WriteFile(context.Background(), os.Args[1], housing(), stl.Source{}); err != nil {
		fmt.Fprintln(os.Stderr, "tidehousing:", err)
		os.Exit(1)
	}
}
