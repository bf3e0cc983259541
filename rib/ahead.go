package rib

import (
	"falsework/mesh/par"
	"falsework/span"
)

// An ahead finds and sieves the layouts under the next ceilings while those
// under one are judged: what it does depends on nothing that is planned, and a
// search keeps the second core busy only now and then.
type ahead struct {
	ready chan *queue
	done  chan struct{}
	wait  func()
}

// lookAhead begins with the first ceiling that needs ribs.
func (m *maker) lookAhead() *ahead {
	a := &ahead{ready: make(chan *queue, 1), done: make(chan struct{})}
	a.wait = par.Begin(func() {
		defer close(a.ready)
		if m.probes == nil {
			return // nothing is to be ribbed
		}
		for i := range m.plan.Survey.Ceilings {
			c := &m.plan.Survey.Ceilings[i]
			if why, _ := m.left(c); why != "" {
				continue
			}
			select {
			case <-a.done:
				return
			case a.ready <- newQueue(newView(c, m.probes, m.plan.Settings, m.plan.Survey.Settings)):
			}
		}
	})
	return a
}

// queue waits for the layouts under a ceiling. Ceilings are asked for in order.
func (a *ahead) queue(c *span.Ceiling) *queue {
	for q := range a.ready {
		if q.c == c {
			return q
		}
	}
	a.wait() // it fell
	panic("no layouts were looked for under a ceiling that needs ribs")
}

// stop ends the work when no more is asked for.
func (a *ahead) stop() { close(a.done) }
