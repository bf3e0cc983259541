// Package union makes one closed oriented surface of a part and the solids
// added to it, cut from it, or shared with it.
package union
