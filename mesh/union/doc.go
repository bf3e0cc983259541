// Package union makes one closed oriented surface of a part and the solids
// added to it.
package union
