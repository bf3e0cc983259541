// Package job runs a part through the stages in order: read, survey, plan,
// unite, survey again, compare. It holds no geometry and prints nothing.
//
// What it guarantees: an [Outcome] with a result has been surveyed a second
// time and agreed with its plan; every error says in one line what is wrong,
// where, and what to do; an error that is the part's and not the program's
// matches [ErrUnusable]. A cancelled context ends a job between two steps of
// any stage.
//
// Start reading at [Line.Rib].
package job
