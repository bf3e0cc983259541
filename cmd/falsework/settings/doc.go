// Package settings names every value a command can be told, reads it from
// flags and profiles, and refuses what cannot be.
//
// A [Setting] binds a name to a variable and to the range the value must lie
// in. The same name is a flag (--limit) and a key of a profile (limit = 70).
// A flag wins over the profile, the profile over the built-in value; what was
// given by neither and follows from other values (spacing from the limit, rib
// width from the nozzle) is filled in by [Values.Finish], which also refuses
// combinations that contradict each other.
//
// Start reading at [Values]; profiles are read by [ReadProfile].
package settings
