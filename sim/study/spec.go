// Package study plans many runs and reads their figures: sweeps over axes,
// sizing against limits, ensembles of weather years and chance, rankings of what
// matters most. It is pure: no input or output, no clock; what is drawn follows
// from a seed in the study.
//
// A study is candidates × members. A candidate is what is built: values of the
// axes. A member is what happens: a weather year and a draw of chance. Every
// candidate meets the same members, so that candidates can be compared pair by
// pair. A run is one candidate in one member; its number never depends on who
// computes it.
package study

// Spec is what a study asks for.
type Spec struct {
	Kind      string    `json:"kind" enum:"sweep,sizing,ensemble,ranking" doc:"sweep: a table of runs. sizing: the smallest systems that meet limits. ensemble: many years, with percentiles. ranking: which axis matters most."`
	Axes      []Axis    `json:"axes,omitzero" required:"false" maxItems:"32" doc:"What the candidates differ in; none in an ensemble means the base alone."`
	Points    string    `json:"points" enum:"grid,listed,latin_hypercube,sobol" default:"grid" doc:"Which points of the axes are candidates. grid: every combination, the last axis fastest. listed: the first value of each axis together, then the second, and so on. latin_hypercube, sobol: samples." basis:"every combination"`
	Samples   int       `json:"samples,omitzero" required:"false" minimum:"1" maximum:"100000" doc:"Points of latin_hypercube and sobol. In a ranking, base samples of the variance-based part, best a power of two: it takes samples × (axes + 2) candidates; left out: one at a time only."`
	Seed      uint64    `json:"seed" default:"1" doc:"Seed of the samples and draws." basis:"stated so that the study can be made again"`
	Years     *Axis     `json:"years,omitzero" required:"false" doc:"Weather years, as the values of a member of the request such as weather.id."`
	Chance    *Chance   `json:"chance,omitzero" required:"false" doc:"What is left to chance in each year."`
	Sizing    *Sizing   `json:"sizing,omitzero" required:"false" doc:"What a sizing must meet."`
	Precision Precision `json:"precision" default:"{}" doc:"When percentiles count as converged."`
}

// AllAxes are the axes, the weather years and the draws of a study.
func (s *Spec) AllAxes() []*Axis {
	var list []*Axis
	for i := range s.Axes {
		list = append(list, &s.Axes[i])
	}
	if s.Years != nil {
		list = append(list, s.Years)
	}
	if s.Chance != nil {
		for i := range s.Chance.Draws {
			list = append(list, &s.Chance.Draws[i])
		}
	}
	return list
}

// Chance is what differs between runs of the same system in the same weather.
type Chance struct {
	SeedPaths []string `json:"seed_paths,omitzero" required:"false" minItems:"1" maxItems:"16" doc:"Members of the request that are seeds, such as bank.link_faults.seed."`
	Draws     []Axis   `json:"draws,omitzero" required:"false" minItems:"1" maxItems:"32" doc:"Members that are drawn evenly from a range or a list, by Latin hypercube over all members of the study: errors of an estimate, for example."`
	PerYear   int      `json:"per_year" default:"1" minimum:"1" maximum:"100000" doc:"Draws in each weather year." basis:"one draw a year"`
	FirstSeed uint64   `json:"first_seed" default:"1" maximum:"1000000000000" doc:"Seed of the first member; each further one has the next." basis:"stated so that the study can be made again"`
}

// Sizing is what a system must meet, and what is to be small.
type Sizing struct {
	Limits        []Limit            `json:"limits" minItems:"1" maxItems:"16" doc:"All must be met in the same year."`
	MetInFraction float64            `json:"met_in_fraction" exclusiveMinimum:"0" maximum:"1" default:"1" doc:"Part of the years in which they must be met: 0.9 is 9 years of 10." basis:"every year"`
	Minimise      []string           `json:"minimise,omitzero" required:"false" minItems:"1" maxItems:"8" doc:"Paths of axes, names of figures or price; the frontier is every passing system that no other passing one beats in all of them. Left out: every axis of numbers."`
	Prices        map[string]float64 `json:"prices,omitzero" required:"false" doc:"Price of one unit of an axis, by path; a system's price is their sum."`
}

// Limit bounds one figure of a year.
type Limit struct {
	Figure  string   `json:"figure" doc:"Name of a figure, such as downtime_h or downtime_by_cause_h.empty."`
	AtMost  *float64 `json:"at_most,omitzero" required:"false" doc:"Largest value that passes, in the figure's unit."`
	AtLeast *float64 `json:"at_least,omitzero" required:"false" doc:"Smallest value that passes."`
}

// Precision is when the percentile of a figure counts as converged: when half
// its confidence interval is at most the larger of the two tolerances.
type Precision struct {
	ConfidenceFraction float64 `json:"confidence_fraction" minimum:"0.5" maximum:"0.999" default:"0.9" doc:"Confidence of the intervals." basis:"common practice"`
	RelativeFraction   float64 `json:"relative_fraction" minimum:"0" maximum:"1" default:"0.1" doc:"Tolerance as part of the percentile." basis:"common practice"`
	Absolute           float64 `json:"absolute" minimum:"0" maximum:"1000000" default:"1" doc:"Tolerance in the figure's own unit." basis:"common practice"`
}

// Kinds of study and arrangements of points.
const (
	sweep    = "sweep"
	sizing   = "sizing"
	ensemble = "ensemble"
	ranking  = "ranking"

	grid        = "grid"
	listed      = "listed"
	latin       = "latin_hypercube"
	sobolPoints = "sobol"

	price = "price"
)

// MostRuns is the largest study.
const MostRuns = 10_000_000

// mostSized is how many candidates a sizing may have.
const mostSized = 1_000_000
