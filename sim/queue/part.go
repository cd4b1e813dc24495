package queue

import (
	"context"
	"errors"
	"fmt"
	"iter"
	"strconv"

	"github.com/nats-io/nats.go"
	"github.com/nats-io/nats.go/jetstream"
)

// Part is the result of a chunk: runs From … To − 1.
type Part struct {
	From, To int
	// Data is what Work returned; nil when it failed.
	Data []byte
	// Failed says why there is no result, or is empty.
	Failed string
}

// Headers of a result.
const (
	runsHeader   = "Bankyear-Runs"
	failedHeader = "Bankyear-Failed"
)

// message is a part as it is published.
func (p *Part) message(at place) *nats.Msg {
	m := nats.NewMsg(at.on("result"))
	m.Header.Set(runsHeader, strconv.Itoa(p.To-p.From))
	if p.Failed != "" {
		m.Header.Set(failedHeader, strconv.QuoteToASCII(p.Failed))
		return m
	}
	m.Data = p.Data
	return m
}

func readPart(m *jetstream.RawStreamMsg) (Part, error) {
	at, ok := parsePlace(m.Subject)
	runs, err := strconv.Atoi(m.Header.Get(runsHeader))
	if !ok || err != nil {
		return Part{}, fmt.Errorf("queue: message %d on %s is no result", m.Sequence, m.Subject)
	}
	p := Part{From: at.first, To: at.first + runs}
	if quoted := m.Header.Get(failedHeader); quoted != "" {
		if p.Failed, err = strconv.Unquote(quoted); err != nil {
			p.Failed = quoted
		}
		return p, nil
	}
	p.Data = m.Data
	return p, nil
}

// Parts gives the results that a study has so far, in run order, while it runs and
// after; ErrUnknown, or ErrCompacted when they are elsewhere. It holds one at a
// time.
func (q *Queue) Parts(ctx context.Context, id string) iter.Seq2[Part, error] {
	return func(yield func(Part, error) bool) {
		k, _, ok := q.ledger.get(id)
		switch {
		case !ok:
			yield(Part{}, ErrUnknown)
			return
		case k.record.Compacted:
			yield(Part{}, ErrCompacted)
			return
		}
		q.parts(each(ctx), &k)(yield)
	}
}

func (q *Queue) parts(ctx context.Context, k *known) iter.Seq2[Part, error] {
	return func(yield func(Part, error) bool) {
		at := k.record.place(k.id)
		for at.first = 0; at.first < k.record.Runs; at.first += k.record.ChunkRuns {
			m, err := q.results.GetLastMsgForSubject(ctx, at.on("result"))
			if errors.Is(err, jetstream.ErrMsgNotFound) {
				continue
			}
			var p Part
			if err == nil {
				p, err = readPart(m)
			}
			if !yield(p, err) || err != nil {
				return
			}
		}
	}
}

// hasResult tells whether a chunk has one.
func (q *Queue) hasResult(ctx context.Context, at place) (bool, error) {
	_, err := q.results.GetLastMsgForSubject(ctx, at.on("result"))
	if errors.Is(err, jetstream.ErrMsgNotFound) {
		return false, nil
	}
	return err == nil, err
}
