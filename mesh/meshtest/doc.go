// Package meshtest makes the solids that tests are run on, and judges
// surfaces for them.
//
// Every maker returns a welded, closed, outward-oriented surface without
// faults, or panics: a test that asks for an impossible solid is itself
// wrong. All of it is deterministic; what is random takes a seed.
//
// Start at [Blocks] for solids with faces along the axes, [Prism] and
// [Revolve] for the others, [Turn] and its neighbours for transforms,
// [House] for random housings. [Check] is the one validator that every test
// of a mesh calls; it is written plainly, with maps and big numbers, and
// shares no code with the packages it judges.
package meshtest
