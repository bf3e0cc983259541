package batch

import (
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"strconv"
	"strings"
)

// A Shard is one of several equal shares of a folder. The zero value is all
// of it.
type Shard struct{ I, N int } // 1 <= I <= N

// ParseShard reads "2/5".
func ParseShard(text string) (Shard, error) {
	i, n, ok := strings.Cut(text, "/")
	s := Shard{}
	var errI, errN error
	s.I, errI = strconv.Atoi(i)
	s.N, errN = strconv.Atoi(n)
	if !ok || errI != nil || errN != nil || s.I < 1 || s.N < s.I || s.N > 1e6 {
		return Shard{}, fmt.Errorf("must be I/N with I from 1 to N, as 2/5, not %q", text)
	}
	return s, nil
}

// Holds tells whether a part is in the share. That follows from the part's
// name alone, so that machines which list the folder at different times
// still agree.
func (s Shard) Holds(name string) bool {
	if s.N <= 1 {
		return true
	}
	h := sha256.Sum256([]byte(name))
	return binary.BigEndian.Uint64(h[:])%uint64(s.N) == uint64(s.I-1)
}

func (s Shard) String() string {
	if s.N == 0 {
		return ""
	}
	return fmt.Sprintf("%d/%d", s.I, s.N)
}

// Suffix tells the summaries of shares apart.
func (s Shard) Suffix() string {
	if s.N == 0 {
		return ""
	}
	return fmt.Sprintf("-%d-of-%d", s.I, s.N)
}
