package queue

import (
	"context"
	"errors"
	"fmt"

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
	record := jetstream.KeyValueConfig{Bucket: recordBucket, Storage: jetstream.FileStorage, Replicas: replicas, MaxBytes: recordBytes}
	if q.records, err = made(ctx, q, q.js.KeyValue, q.makeRecords, recordBucket, record, jetstream.ErrBucketNotFound); err != nil {
		return fmt.Errorf("queue: records: %w", err)
	}
	input := jetstream.ObjectStoreConfig{Bucket: inputBucket, Storage: jetstream.FileStorage, Replicas: replicas, MaxBytes: b.InputBytes}
	if q.objects, err = made(ctx, q, q.js.ObjectStore, q.js.CreateOrUpdateObjectStore, inputBucket, input, jetstream.ErrBucketNotFound); err != nil {
		return fmt.Errorf("queue: inputs: %w", err)
	}
	if q.uploads, err = q.js.Stream(ctx, "OBJ_"+inputBucket); err != nil {
		return fmt.Errorf("queue: inputs: %w", err)
	}
	return nil
}

func (q *Queue) stream(ctx context.Context, cfg jetstream.StreamConfig) (jetstream.Stream, error) {
	return made(ctx, q, q.js.Stream, q.js.CreateOrUpdateStream, cfg.Name, cfg, jetstream.ErrStreamNotFound)
}

// makeRecords makes the bucket of records. Its library always allows reads from any
// replica; outside, that is taken back.
func (q *Queue) makeRecords(ctx context.Context, cfg jetstream.KeyValueConfig) (jetstream.KeyValue, error) {
	bucket, err := q.js.CreateOrUpdateKeyValue(ctx, cfg)
	if err != nil || q.server != nil {
		return bucket, err
	}
	stream, err := q.js.Stream(ctx, "KV_"+cfg.Bucket)
	if err != nil {
		return nil, err
	}
	leaderOnly := stream.CachedInfo().Config
	leaderOnly.AllowDirect = false
	if _, err = q.js.UpdateStream(ctx, leaderOnly); err != nil {
		return nil, err
	}
	return q.js.KeyValue(ctx, cfg.Bucket)
}

// made looks a stream or bucket up, or makes it.
func made[T, C any](ctx context.Context, q *Queue, get func(context.Context, string) (T, error), set func(context.Context, C) (T, error), name string, cfg C, missing error) (T, error) {
	if q.server == nil {
		if x, err := get(ctx, name); err == nil || !errors.Is(err, missing) {
			return x, err
		}
	}
	return set(ctx, cfg)
}
