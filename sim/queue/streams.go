package queue

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/nats-io/nats.go/jetstream"
)

const (
	workStream   = "bankyear_work"
	resultStream = "bankyear_result"
	recordBucket = "bankyear_study"
	inputBucket  = "bankyear_input"

	// What the object store of inputs calls its messages: pieces of an input by
	// upload, and what is known of an input by its name in base 64.
	uploads = "$O." + inputBucket + ".C."
	names   = "$O." + inputBucket + ".M."
)

// open makes the streams and buckets that are not there. Those of a server inside
// this process take the bounds as they are now; those outside keep what they were
// made with.
func (q *Queue) open(ctx context.Context) error {
	// Outside, reads go to the leader of a stream: one of the others may not have
	// yet what was acknowledged.
	replicas, direct := q.cfg.Replicas, q.server != nil
	if direct {
		replicas = 1
	}
	b := q.cfg.Bounds
	work := jetstream.StreamConfig{
		Name: workStream, Subjects: []string{"work.>"}, Storage: jetstream.FileStorage, Replicas: replicas,
		Retention: jetstream.WorkQueuePolicy, Discard: jetstream.DiscardNew, DiscardNewPerSubject: true, MaxMsgsPerSubject: 1,
		MaxMsgs: int64(b.Chunks), MaxBytes: b.workBytes(), AllowDirect: direct,
	}
	result := jetstream.StreamConfig{
		Name: resultStream, Subjects: []string{"result.>"}, Storage: jetstream.FileStorage, Replicas: replicas,
		Retention: jetstream.LimitsPolicy, Discard: jetstream.DiscardNew, DiscardNewPerSubject: true, MaxMsgsPerSubject: 1,
		MaxBytes: b.ResultBytes, AllowDirect: direct,
	}
	var err error
	if q.work, err = q.stream(ctx, work); err != nil {
		return fmt.Errorf("queue: work stream: %w", err)
	}
	if q.results, err = q.stream(ctx, result); err != nil {
		return fmt.Errorf("queue: result stream: %w", err)
	}
	// The bucket of records and the store of inputs are made as the streams that they
	// are: their library would make them with reads from any replica, and taking that
	// back later breaks whoever opened them in between.
	record := jetstream.StreamConfig{
		Name: "KV_" + recordBucket, Subjects: []string{"$KV." + recordBucket + ".>"}, Storage: jetstream.FileStorage, Replicas: replicas,
		MaxMsgsPerSubject: 1, MaxBytes: recordBytes, MaxMsgs: -1, MaxMsgSize: -1, MaxConsumers: -1, Duplicates: duplicates,
		Discard: jetstream.DiscardNew, AllowRollup: true, DenyDelete: true, AllowDirect: direct,
	}
	input := jetstream.StreamConfig{
		Name: "OBJ_" + inputBucket, Subjects: []string{uploads + ">", names + ">"}, Storage: jetstream.FileStorage, Replicas: replicas,
		MaxBytes: b.InputBytes, Discard: jetstream.DiscardNew, AllowRollup: true, AllowDirect: direct,
	}
	if _, err = q.stream(ctx, record); err == nil {
		q.records, err = q.js.KeyValue(ctx, recordBucket)
	}
	if err != nil {
		return fmt.Errorf("queue: records: %w", err)
	}
	if q.uploads, err = q.stream(ctx, input); err == nil {
		q.objects, err = q.js.ObjectStore(ctx, inputBucket)
	}
	if err != nil {
		return fmt.Errorf("queue: inputs: %w", err)
	}
	return nil
}

// duplicates is how long message ids are remembered: what a server would take.
const duplicates = 2 * time.Minute

// stream looks a stream up, or makes it; that of a server inside this process is
// brought to the bounds of now.
func (q *Queue) stream(ctx context.Context, cfg jetstream.StreamConfig) (jetstream.Stream, error) {
	if q.server == nil {
		if s, err := q.js.Stream(ctx, cfg.Name); err == nil || !errors.Is(err, jetstream.ErrStreamNotFound) {
			return s, err
		}
	}
	return q.js.CreateOrUpdateStream(ctx, cfg)
}
