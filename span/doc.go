// Package span reads a part the way a filament printer builds it, layer on
// layer, and finds every ceiling that hangs in the air: how far it must
// bridge, where it is held, and whether it needs ribs. It knows nothing of
// ribs. Start reading at [Run].
package span
