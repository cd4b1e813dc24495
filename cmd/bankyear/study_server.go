package main

import (
	"context"
	"fmt"
	"io"

	"bankyear/api"
	"bankyear/api/document"
)

// studyAt has a service run a study, follows it, and prints and writes what
// runStudy does. When it is interrupted the study goes on: the same command takes
// it up again.
func studyAt(ctx context.Context, server string, raw []byte, cases *api.Cases, mediaType, out string, s streams) error {
	c, raw, err := at(ctx, server, raw, cases)
	if err != nil {
		return err
	}
	study, err := c.SubmitStudy(ctx, raw)
	if err != nil {
		return err
	}
	if e := study.Estimate; e != nil {
		fmt.Fprintf(s.err, "%s, %s, as %s\n", e, expected(e.Seconds), study.ID)
	} else {
		fmt.Fprintf(s.err, "%d runs, as %s\n", study.Progress.Runs, study.ID)
	}
	b := newBar(s.err, study.Progress.Runs)
	err = c.FollowStudy(ctx, study.ID, func(p api.StudyProgress) { b.set(p.Done) })
	b.end()
	if err != nil {
		return err
	}
	if out != "" {
		if err := writeStream(out, func(w io.Writer) error { return c.StudyRuns(ctx, study.ID, mediaType, w) }); err != nil {
			return err
		}
	}
	if study, err = c.Study(ctx, study.ID); err != nil {
		return err
	}
	if study.Summary == nil {
		return fmt.Errorf("the study is %s", study.State)
	}
	return printStudy(s.out, askedIn(raw), study.Summary)
}

// askedIn reads what a study is called and its axes from its request, which the
// service has found to be sound.
func askedIn(raw []byte) *asked {
	tree, _ := document.Parse(raw)
	out := &asked{}
	out.name, _ = tree.Get("name").Text()
	axes := tree.Get("axes")
	for i := range axes.Len() {
		path, _ := axes.Item(i).Get("path").Text()
		out.paths = append(out.paths, path)
	}
	return out
}
