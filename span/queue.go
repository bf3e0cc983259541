package span

import (
	"math"
	"sync"
)

// A queue gives out nodes in rising order of distance, to within one bucket:
// enough for a search that may correct itself, and faster than a heap.
type queue struct {
	width   float64
	buckets [][]entry
	at      int // bucket being emptied
	n       int
}

type entry struct {
	d float64
	n int32
}

var queues = sync.Pool{New: func() any { return new(queue) }}

// reset empties the queue and keeps its memory.
func (q *queue) reset(width float64) {
	for i := range q.buckets {
		q.buckets[i] = q.buckets[i][:0]
	}
	q.width, q.at, q.n = width, 0, 0
}

func (q *queue) push(d float64, n int32) {
	i := int(d / q.width)
	for i >= len(q.buckets) {
		q.buckets = append(q.buckets, nil)
	}
	q.buckets[i] = append(q.buckets[i], entry{d, n})
	q.at = min(q.at, i)
	q.n++
}

// pop returns a node whose entry is still its distance.
func (q *queue) pop(d []float64) (int32, bool) {
	for q.n > 0 {
		b := q.buckets[q.at]
		if len(b) == 0 {
			q.at++
			continue
		}
		e := b[len(b)-1]
		q.buckets[q.at] = b[:len(b)-1]
		q.n--
		if !math.IsNaN(e.d) && e.d == d[e.n] {
			return e.n, true
		}
	}
	return 0, false
}
