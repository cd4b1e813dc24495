package api

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"bankyear/sim/study"
)

// benchStudy is a study of banks and settings on stored weather, with motors.
func benchStudy(b *testing.B, members string) (*Study, *lane) {
	service := storing(b, b.TempDir())
	year := uploaded(b, service, "/v1/weather", openFile(b, "burlington_vt_tmy3.csv.gz"), noType...).ID
	motors := with(b, station(b), `{"load":{"appliances":{"refrigerator":{"w":110,"duty_fraction":0.35,"inrush_multiple":6,"inrush_s":0.4,"starts_per_h":2,"power_factor":0.8},
	  "pump":{"w":700,"hours":"09-12","duty_fraction":0.2,"inrush_multiple":4,"inrush_s":0.4,"starts_per_h":4,"power_factor":0.8}}}}`)
	s := readOf(b, studyOf(b, withWeather(motors, map[string]any{"id": year}), members))
	return s, newLane(s, Cases{content: service.content})
}

const bankAxes = `{"kind":"sweep","points":"sobol","samples":4096,"axes":[{"path":"bank.modules","range":{"start":2,"end":9,"step":1}},{"path":"bank.cable_ohm","range":{"start":0.001,"end":0.01}},{"path":"controls.low_end.resume_soc_fraction","range":{"start":0.1,"end":0.4}}]}`

// What a run costs: from its number to its figures, of which the kernel's year,
// and what it would cost alone, with nothing shared.
func BenchmarkStudyRun(b *testing.B) {
	each := func(name string, members string, work func(b *testing.B, s *Study, l *lane, run int)) {
		b.Run(name, func(b *testing.B) {
			s, l := benchStudy(b, members)
			c, faults := l.prepare(0)
			require.Empty(b, faults)
			l.compile(c)
			b.ReportAllocs()
			run := 0
			for b.Loop() {
				work(b, s, l, run%s.Plan.Runs())
				run++
			}
		})
	}
	kernel := func(b *testing.B, _ *Study, l *lane, run int) {
		b.StopTimer()
		c, _ := l.prepare(run)
		p := l.compile(c)
		b.StartTimer()
		p.Run(false)
	}
	prepare := func(b *testing.B, _ *Study, l *lane, run int) {
		if _, faults := l.prepare(run); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
	check := func(b *testing.B, _ *Study, l *lane, run int) {
		if _, faults := l.check(run); len(faults) > 0 {
			b.Fatal(faults)
		}
	}
	prepareAndCompile := func(b *testing.B, _ *Study, l *lane, run int) {
		c, _ := l.prepare(run)
		l.compile(c)
	}
	whole := func(b *testing.B, s *Study, l *lane, run int) {
		c, _ := l.prepare(run)
		study.Row(l.row, l.figures, &l.subject(c).year.Figures)
	}
	each("whole", bankAxes, whole)
	each("kernel", bankAxes, kernel)
	each("check", bankAxes, check)
	each("prepare", bankAxes, prepare)
	each("prepare and compile", bankAxes, prepareAndCompile)
	arrays := `{"kind":"sweep","axes":[{"path":"bank.modules","range":{"start":2,"end":9,"step":1}},{"path":"array.planes.roof.rated_kw","range":{"start":2,"end":9,"step":0.01}}]}`
	each("prepare and compile, another array each", arrays, prepareAndCompile)
	each("alone", bankAxes, func(b *testing.B, s *Study, l *lane, run int) {
		single := Cases{content: l.cases.content}
		c, _ := single.Prepare(s.Request(run), nil)
		c.Plan()
	})
}

// A sweep of 600 runs on the embedded queue, from its submission to its table in
// the file, with one worker and with two.
func BenchmarkStudyWorkers(b *testing.B) {
	const runs = 600
	for workers := 1; workers <= 2; workers++ {
		b.Run(itoa(workers), func(b *testing.B) {
			s := studying(b, b.TempDir(), func(c *StudiesConfig) { c.Workers = workers })
			year := uploaded(b, s, "/v1/weather", openFile(b, "burlington_vt_tmy3.csv.gz"), noType...).ID
			n := 0
			for b.Loop() {
				n++ // another seed is another study
				raw := studyOf(b, withWeather(station(b), map[string]any{"id": year}), strings.Replace(bankAxes, `"samples":4096`, `"samples":`+itoa(runs)+`,"seed":`+itoa(n), 1))
				finished(b, s, studyAnswer(b, call(b, s, "POST", "/v1/studies", raw), 201).ID)
			}
			b.ReportMetric(float64(runs*n)/b.Elapsed().Seconds(), "runs/s")
		})
	}
}
