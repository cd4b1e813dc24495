package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"

	"bankyear/api/client"
	"bankyear/sim/fault"
)

// commands is what may be typed.
const commands = `  bankyear simulate FILE [--out year.parquet|year.csv|year.json|year.arrows] [--server URL]
                    [--detail events,bands,endurance,headroom,reliefs]
  bankyear compare FILE [--out comparison.xlsx] [--detail events,headroom,reliefs] [--server URL]
  bankyear sheet FILE [--server URL]
  bankyear study FILE [--out runs.parquet|runs.csv|runs.jsonl] [--workers N | --server URL]
  bankyear study FILE --run N
  bankyear weather FILE [member=value ...]
  bankyear serve [--listen 127.0.0.1:8080] [--data DIR] [--data-gb 8]
                 [--allow-origin https://HOST ...] [STUDIES]
  bankyear worker --nats URL [STUDIES]
`

const usage = "bankyear simulates a year of a stand-alone power system.\n\n" + commands + `
--detail tells more. events: each outage with what led to it, what happened during
it and what ended it, and the incidents of the year. From other runs: the figures of a
chaotic year as ranges, how long the bank lasts and fills again, how much the load may
grow and what breaks first, what each limit costs. sheet prints what to program, how a
sleeping bank would be woken and whether the parts fit, without a year. study --run
prints the request of one run, the base with that run's values, which simulate takes
from beside the study.
--server has a service do it, such as http://127.0.0.1:8080, instead of this
process; weather files that the request names are sent with it.

FILE is a request as JSON, or for weather a weather file in any format that the
service takes; - reads it from standard input. member=value says what a weather
file does not say of itself, such as site.latitude_deg=44.5 interval_label=end
units.ghi_w_m2=kW/m2. serve keeps what is uploaded in DIR: left out, in
$STATE_DIRECTORY, $XDG_STATE_HOME/bankyear or ~/.local/state/bankyear. --allow-origin
lets pages of another origin ask from a browser; none may by default.

STUDIES says where studies are run and kept: in DIR, or on NATS servers with
JetStream that several services and workers share, [--nats URL]
[--nats-credentials FILE] [--nats-replicas 3]; how many runs at once, [--workers N],
one a processor when left out, -1 for none; for how long a worker may be silent
before another gets its runs, [--silent-s 10]; and for how long a study is kept that
is over, [--keep-days 30], 0 for ever.
`

// Exit codes.
const (
	done       = 0
	failed     = 1 // the input has faults, or a file could not be read or written
	misspelled = 2 // the command line
)

// errUsage is an error of the command line.
type errUsage struct{ text string }

func (e errUsage) Error() string { return e.text }

// run is the whole program.
func run(ctx context.Context, args []string, s streams) int {
	err := command(ctx, args, s)
	var wrong errUsage
	var faults fault.Faults
	var problem *client.Problem
	switch {
	case err == nil || errors.Is(err, flag.ErrHelp):
		return done
	case errors.As(err, &wrong):
		fmt.Fprintf(s.err, "bankyear: %s\n\n%s\nbankyear help says what each does.\n", wrong.text, commands) // few lines: what is wrong stays in sight
		return misspelled
	case errors.As(err, &problem) && len(problem.Faults) > 0:
		fmt.Fprintln(s.err, problem.All().Error())
	case errors.As(err, &faults):
		fmt.Fprintln(s.err, faults.Error()) // one a line, each with its pointer
	default:
		fmt.Fprintf(s.err, "bankyear: %s\n", err)
	}
	return failed
}

func command(ctx context.Context, args []string, s streams) error {
	if len(args) == 0 {
		return errUsage{"a command is missing"}
	}
	switch name, rest := args[0], args[1:]; name {
	case "simulate":
		return simulate(ctx, rest, s)
	case "compare":
		return compare(ctx, rest, s)
	case "sheet":
		return sheet(ctx, rest, s)
	case "study":
		return runStudy(ctx, rest, s)
	case "weather":
		return checkWeather(rest, s)
	case "serve":
		return serve(ctx, rest, s)
	case "worker":
		return work(ctx, rest, s)
	case "help", "-h", "-help", "--help":
		_, err := io.WriteString(s.out, usage)
		return err
	default:
		return errUsage{fmt.Sprintf("there is no command %q", name)}
	}
}

// parse reads flags before and after other arguments and returns the latter.
func parse(f *flag.FlagSet, args []string, s streams) ([]string, error) {
	f.SetOutput(io.Discard)
	var rest []string
	for {
		if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
			_, _ = io.WriteString(s.out, usage)
			return nil, err
		} else if err != nil {
			return nil, errUsage{err.Error()}
		}
		if args = f.Args(); len(args) == 0 {
			return rest, nil
		}
		rest, args = append(rest, args[0]), args[1:]
	}
}

// oneFile is the one argument of a command.
func oneFile(args []string) (string, error) {
	switch len(args) {
	case 0:
		return "", errUsage{"FILE is missing"}
	case 1:
		return args[0], nil
	}
	return "", errUsage{fmt.Sprintf("one FILE is taken, not %d", len(args))}
}
