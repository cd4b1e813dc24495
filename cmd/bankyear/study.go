package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"

	"bankyear/api"
	"bankyear/api/media"
)

// runStudy runs a study in this process, writes its runs and prints what they say.
func runStudy(ctx context.Context, args []string, s streams) error {
	flags := flag.NewFlagSet("study", flag.ContinueOnError)
	out := flags.String("out", "", "")
	workers := flags.Int("workers", 0, "")
	server := flags.String("server", "", "")
	one := flags.Int("run", -1, "")
	rest, err := parse(flags, args, s)
	if err != nil {
		return err
	}
	name, err := oneFile(rest)
	if err != nil {
		return err
	}
	if *workers < 0 || *workers > 4096 {
		return errUsage{fmt.Sprintf("--workers %d is not 0 (one a processor) or up to 4096", *workers)}
	}
	mediaType, known := runsTypes[strings.ToLower(filepath.Ext(*out))]
	if *out != "" && !known {
		return errUsage{fmt.Sprintf("--out %q ends in none of .csv, .jsonl, .parquet", *out)}
	}
	raw, cases, err := readRequest(name, manyRuns, s)
	if err != nil {
		return err
	}
	opens := false
	flags.Visit(func(f *flag.Flag) { opens = opens || f.Name == "run" })
	switch {
	case opens && (*out != "" || *server != ""):
		return errUsage{"--run prints the request of one run; --out and --server have nothing to do"}
	case opens:
		return printRun(s.out, raw, *one)
	case *server != "":
		return studyAt(ctx, *server, raw, cases, mediaType, *out, s)
	}
	study, faults := cases.DirectStudy(ctx, raw, *workers)
	if len(faults) > 0 {
		return faults
	}
	fmt.Fprintf(s.err, "%s, %s\n", &study.Estimate, expected(study.Estimate.Seconds))
	if *out != "" {
		return writeStream(*out, func(w io.Writer) error {
			return computeStudy(ctx, study, api.NewRunsWriter(w, mediaType, study.Columns(), study.Metadata("")), s)
		})
	}
	return computeStudy(ctx, study, nil, s)
}

// printRun prints the request that one run of a study is, to be simulated as it stands: files
// are named in it as in the study.
func printRun(out io.Writer, raw []byte, run int) error {
	study, faults := api.ReadStudy(raw)
	if len(faults) > 0 {
		return faults
	}
	if last := study.Plan.Runs() - 1; run < 0 || run > last {
		return errUsage{fmt.Sprintf("--run %d is not 0 to %d, a run of the study", run, last)}
	}
	var text bytes.Buffer
	if err := json.Indent(&text, study.Document(run), "", "  "); err != nil {
		return err
	}
	text.WriteByte('\n')
	_, err := text.WriteTo(out)
	return err
}

// runsTypes are the files that study writes, by extension.
var runsTypes = map[string]string{".parquet": media.Parquet, ".csv": media.CSV, ".jsonl": media.Lines}

// computeStudy computes the runs into a table, or none, and prints the summary.
func computeStudy(ctx context.Context, study *api.DirectStudy, table api.RunsWriter, s streams) error {
	bar := newBar(s.err, study.Estimate.Runs)
	summary := study.SummaryReader()
	for b, err := range study.Blocks(ctx) {
		if err == nil && table != nil {
			err = table.Write(b)
		}
		if err != nil {
			bar.end()
			return err
		}
		summary.Read(b)
		bar.add(b.Rows)
	}
	bar.end()
	if table != nil {
		if err := table.Close(); err != nil {
			return err
		}
	}
	return printStudy(s.out, &asked{study.Name, study.Plan.Paths()}, summary.Summary())
}

// writeStream writes a file whole or not at all while it is made.
func writeStream(name string, write func(io.Writer) error) (err error) {
	f, err := os.CreateTemp(filepath.Dir(name), ".bankyear-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, f.Close(), os.Remove(f.Name()))
		}
	}()
	w := bufio.NewWriterSize(f, 1<<20)
	if err = write(w); err != nil {
		return err
	}
	if err = errors.Join(w.Flush(), f.Chmod(0o644), f.Close()); err != nil {
		return err
	}
	return os.Rename(f.Name(), name)
}

// bar shows how far a study is, where somebody looks on.
type bar struct {
	w          io.Writer
	runs, done int
	begun      time.Time
	shown      time.Time
	width      int // of what stands there
}

// newBar shows nothing where w is no terminal.
func newBar(w io.Writer, runs int) *bar {
	b := &bar{runs: runs, begun: time.Now()}
	if f, ok := w.(*os.File); ok {
		if info, err := f.Stat(); err == nil && info.Mode()&os.ModeCharDevice != 0 {
			b.w = w
		}
	}
	return b
}

const barCells = 40

func (b *bar) add(runs int) { b.set(b.done + runs) }

func (b *bar) set(done int) {
	b.done = done
	if b.w == nil || time.Since(b.shown) < 100*time.Millisecond && b.done < b.runs {
		return
	}
	b.shown = time.Now()
	took := time.Since(b.begun).Seconds()
	rate := float64(b.done) / max(took, 1e-9)
	full := barCells * b.done / b.runs
	text := fmt.Sprintf("%s%s %d of %d, %.0f/s, %s left", strings.Repeat("█", full), strings.Repeat("░", barCells-full), b.done, b.runs, rate, roughly(float64(b.runs-b.done)/rate))
	fmt.Fprintf(b.w, "\r%-*s", b.width, text)
	b.width = len([]rune(text))
}

// end clears the line.
func (b *bar) end() {
	if b.w != nil {
		fmt.Fprintf(b.w, "\r%-*s\r", b.width, "")
	}
}

// expected says how long a study will take.
func expected(seconds float64) string {
	if seconds < 1 {
		return roughly(seconds)
	}
	return "about " + roughly(seconds)
}

// roughly says a time as people do.
func roughly(seconds float64) string {
	switch {
	case seconds < 1:
		return "less than a second"
	case seconds < 100:
		return fmt.Sprintf("%.0f s", seconds)
	case seconds < 100*60:
		return fmt.Sprintf("%.0f min", seconds/60)
	}
	return fmt.Sprintf("%.1f h", seconds/3600)
}
