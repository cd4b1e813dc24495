package backtest

import (
	"math"
	"slices"
	"time"
)

// Follow is how well the model follows one quantity.
type Follow struct {
	Quantity string  `json:"quantity" doc:"voltage, state of charge, or power of the DC bus."`
	Unit     string  `json:"unit" doc:"Unit of the errors."`
	Rows     int     `json:"rows" doc:"Rows compared."`
	Bias     float64 `json:"bias" doc:"Mean of model minus log."`
	RMS      float64 `json:"rms" doc:"Root of the mean square of model minus log."`
	// A model that is empty, or full, a little too early is volts off at once: the
	// median tells how it follows the rest.
	MedianAbs float64 `json:"median_abs" doc:"Half of the rows are closer than this: unlike the root of the mean square it is not ruled by hours at the ends of the charge, where a per cent of charge is volts."`
	WorstDay  string  `json:"worst_day" doc:"Date on which it follows worst."`
	WorstRMS  float64 `json:"worst_day_rms" doc:"Root of the mean square on that day."`
}

// follow compares voltage and, where it was reported, state of charge.
func (p *problem) follow(x []float64) []Follow {
	p.drive(p.at(x))
	volts, socs := newFollower("voltage", "V"), newFollower("state of charge", "")
	i := 0
	for _, rows := range p.data.stretches {
		for k := range rows {
			volts.add(rows[k].t, p.states[i].v, rows[k].v)
			socs.add(rows[k].t, p.states[i].end, rows[k].soc)
			i++
		}
	}
	out := []Follow{volts.end()}
	if socs.Rows > 0 {
		out = append(out, socs.end())
	}
	return out
}

// follower sums errors by day.
type follower struct {
	Follow
	sum, square float64
	sizes       []float64
	day         string
	daySquare   float64
	dayRows     int
}

func newFollower(quantity, unit string) *follower {
	return &follower{Follow: Follow{Quantity: quantity, Unit: unit}}
}

func (f *follower) add(t, model, logged float64) {
	if math.IsNaN(logged) || math.IsNaN(model) {
		return
	}
	if d := day(t); d != f.day {
		f.close()
		f.day = d
	}
	d := model - logged
	f.Rows++
	f.dayRows++
	f.sum += d
	f.sizes = append(f.sizes, math.Abs(d))
	f.square += d * d
	f.daySquare += d * d
}

func (f *follower) close() {
	if f.dayRows > 0 {
		if rms := math.Sqrt(f.daySquare / float64(f.dayRows)); rms >= f.WorstRMS {
			f.WorstDay, f.WorstRMS = f.day, rms
		}
	}
	f.daySquare, f.dayRows = 0, 0
}

func (f *follower) end() Follow {
	f.close()
	if f.Rows > 0 {
		f.Bias, f.RMS = f.sum/float64(f.Rows), math.Sqrt(f.square/float64(f.Rows))
		slices.Sort(f.sizes)
		f.MedianAbs = f.sizes[len(f.sizes)/2]
	}
	return f.Follow
}

func day(seconds float64) string {
	return time.Unix(int64(math.Floor(seconds)), 0).UTC().Format(time.DateOnly)
}
