package weather

// Need is what an array and a load ask of storage over a year. Powers are
// taken as they are, without loss in store and inverter: count those into the
// load, and what the charger loses out of the array.
type Need struct {
	Spell         Spell   `json:"dark_spell" doc:"The design dark spell: the run of whole days in which the array falls furthest behind the load."`
	StorageKWh    float64 `json:"storage_kwh" doc:"Largest cumulative shortfall of the array against the load, interval by interval, nights included: what a store without loss must hold."`
	LoadKWhPerDay float64 `json:"load_kwh_per_day" doc:"Load of the mean day."`
	AutonomyD     float64 `json:"autonomy_d" doc:"Days of autonomy needed: storage_kwh over load_kwh_per_day."`
	ArrayCovers   bool    `json:"array_covers_load" doc:"Whether the array gives at least the load over the year. If not, no store carries the load through it."`
}

// Spell is a run of whole days.
type Spell struct {
	Start      string  `json:"start,omitzero" required:"false" doc:"First day, such as 2025-12-30; left out where the array covers the load of every day."`
	Days       int     `json:"days" doc:"Length. The year goes round: a spell may run from December into January."`
	SolarKWh   float64 `json:"solar_kwh" doc:"What the array gives in it."`
	LoadKWh    float64 `json:"load_kwh" doc:"What the load takes in it."`
	DeficitKWh float64 `json:"deficit_kwh" doc:"Load less array."`
}

// Need finds the dark spell and the storage needed for an array that gives
// solarW and a load of loadW, W, a row an interval of the year. Columns of
// another length panic.
//
// A store that is full whenever the array has caught up lacks, at any time, the
// largest sum of load − array over the intervals since some time before: its
// greatest value over the year is the sum over the run with the largest sum,
// which Kadane's rule finds (Bentley 1984, Communications of the ACM 27, 865).
// The year is taken as a circle, the run as no longer than a year.
func (y *Year) Need(solarW, loadW []float64) Need {
	n := y.Len()
	if len(solarW) != n || len(loadW) != n {
		panic("weather: array and load must have the length of the year")
	}
	perDay := 86400 / y.StepS
	short := make([]float64, n)
	solarDay, loadDay, shortDay := make([]float64, n/perDay), make([]float64, n/perDay), make([]float64, n/perDay)
	kwh := float64(y.StepS) / 3.6e6
	var solar, load float64
	for i := range short {
		short[i] = (loadW[i] - solarW[i]) * kwh
		solarDay[i/perDay] += solarW[i] * kwh
		loadDay[i/perDay] += loadW[i] * kwh
	}
	for d := range shortDay {
		shortDay[d] = loadDay[d] - solarDay[d]
		solar += solarDay[d]
		load += loadDay[d]
	}
	var need Need
	_, _, need.StorageKWh = worstRun(short)
	need.LoadKWhPerDay = load / float64(len(loadDay))
	if load > 0 {
		need.AutonomyD = need.StorageKWh / need.LoadKWhPerDay
	}
	need.ArrayCovers = solar >= load
	from, days, _ := worstRun(shortDay)
	if days > 0 {
		s := Spell{Start: y.Start(from * perDay).Format("2006-01-02"), Days: days}
		for d := from; d < from+days; d++ {
			s.SolarKWh += solarDay[d%len(solarDay)]
			s.LoadKWh += loadDay[d%len(loadDay)]
		}
		s.DeficitKWh = s.LoadKWh - s.SolarKWh
		need.Spell = s
	}
	return need
}

// worstRun is the run of values, on a circle, with the largest sum: where it
// begins, its length, at most one round, and the sum; nothing before or after
// that adds nothing. Of equal sums the run across the end is taken if it is the
// shorter. Length 0 where no value is positive.
func worstRun(values []float64) (from, length int, total float64) {
	from, length, total = largestSum(values, 0, 1)
	// A run across the end leaves out the run with the smallest sum: go round
	// from there.
	out, _, least := largestSum(values, 0, -1)
	around := 0.0
	for _, x := range values {
		around += x
	}
	if slack := 1e-12 * total; around+least >= total-slack {
		if f, l, s := largestSum(values, out, 1); s > total+slack || l < length {
			from, length, total = f, l, s
		}
	}
	return from % len(values), length, total
}

// largestSum is the run of values times sign with the largest sum on one way
// round from a place, not across it.
func largestSum(values []float64, place int, sign float64) (from, length int, most float64) {
	start, sum := 0, 0.0
	for i := place; i < place+len(values); i++ {
		if sum <= 0 {
			start, sum = i, 0
		}
		if sum += sign * values[i%len(values)]; sum > most {
			from, length, most = start, i+1-start, sum
		}
	}
	return from, length, most
}
