package settings

import "fmt"

// A Trial says which piece of a part is to be kept. Heights are mm above the
// bed.
type Trial struct {
	Below   float64
	Between []float64
	Ceiling int
	Margin  float64

	of *Values
}

// NewTrial returns the built-in values of a proof piece.
func (v *Values) NewTrial() *Trial { return &Trial{Margin: 15, of: v} }

// Settings returns what says which piece is kept.
func (k *Trial) Settings() []Setting {
	list := []Setting{
		NewNumber("below", "Z", "keep what lies below this height", &k.Below, over0(20000)),
		NewNumbers("between", "Z1,Z2", "keep the slab between these heights", &k.Between, 2, mm(0, 20000)),
		NewCount("ceiling", "N", "keep a box round this ceiling", &k.Ceiling, 1, 1<<30),
		NewNumber("margin", "MM", "how much larger than the ceiling the box is on every side", &k.Margin, mm(1, 1000)),
	}
	list[3].Default = trim(k.Margin)
	for i := range list {
		list[i].Category = Piece
	}
	return k.of.track(list)
}

// Check refuses none or several of the ways to choose a piece.
func (k *Trial) Check() error {
	n := 0
	for _, name := range []string{"below", "between", "ceiling"} {
		if k.of.Given(name) {
			n++
		}
	}
	switch {
	case n == 0:
		return fmt.Errorf("say which piece: --below Z, --between Z1,Z2 or --ceiling N")
	case n > 1:
		return fmt.Errorf("give one of --below, --between and --ceiling, not %d", n)
	case k.of.Given("between") && k.Between[0] >= k.Between[1]:
		return fmt.Errorf("--between needs the lower height first, not %s,%s", trim(k.Between[0]), trim(k.Between[1]))
	case k.of.Given("margin") && !k.of.Given("ceiling"):
		return fmt.Errorf("--margin belongs to --ceiling")
	}
	return nil
}
