// Package rib plans the thin breakaway webs that carry a part's ceilings
// while it prints, and makes solids of them. Start reading at [Make].
package rib
