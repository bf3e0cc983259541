// Package exact answers on which side of a line or a plane a point lies, and
// is never wrong about it.
//
// Each predicate first evaluates its determinant in float64 and trusts the
// sign when the value is greater than a bound, derived beside the code, on
// everything that rounding can have added. Otherwise the same determinant is
// computed in integers (math/big), where nothing is rounded. No tolerance is
// involved: zero means zero.
//
// The identities that a caller may rely on, and that the tests check, are
// those of a determinant:
//
//	Orient2D(a, b, c) ==  Orient2D(b, c, a)           rotate: same answer
//	Orient2D(a, b, c) == -Orient2D(b, a, c)           swap two: opposite
//	Orient2D(a, b, c) ==  Cross2D(a, b, a, c)
//	Cross2D(a, b, c, d) == -Cross2D(c, d, a, b)
//	Orient3D(a, b, c, d) ==  Orient3D(b, c, a, d)     even permutation
//	Orient3D(a, b, c, d) == -Orient3D(b, a, c, d)     odd permutation
//
// and every answer is the same on every machine: products are written
// float64(x*y), so that no processor fuses them with the sum that follows.
//
// Arguments are finite numbers. With a NaN or an infinity among them every
// predicate returns 0.
//
// Start reading at [Orient2D].
package exact
