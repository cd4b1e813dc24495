package profiles

import "fmt"

// Meter is a metered year of AC load, as an energy meter or a logger exports
// it: a table of time stamps and readings, 15, 30 or 60 minutes apart (any step
// of a year's grid is taken). It counts as essential.
type Meter struct {
	CSV         string   `json:"csv" doc:"The table as text: a time stamp such as 2024-03-31 01:45 or 31.03.2024 01:45 and a reading a line; separated by comma, semicolon or tab; a semicolon or tab allows decimal commas; a heading is optional."`
	Unit        string   `json:"unit" enum:"kwh,wh,kw,w" doc:"Unit of the readings: energy in the interval, or mean power."`
	Label       string   `json:"label" enum:"start,end" default:"start" basis:"common practice" doc:"Whether a stamp is the start or the end of its interval."`
	Clock       string   `json:"clock" enum:"standard,local" default:"standard" basis:"common practice" doc:"standard: the stamps keep standard time all year; local: they follow daylight saving, and the jumps are found and undone."`
	UTCOffsetH  *float64 `json:"utc_offset_h,omitzero" required:"false" minimum:"-12" maximum:"14" doc:"Standard time minus UTC; mandatory for stamps that carry a zone, such as 2024-03-31T01:45+02:00."`
	TimeColumn  string   `json:"time_column,omitzero" required:"false" doc:"Heading of the stamps; the first column when left out."`
	ValueColumn string   `json:"value_column,omitzero" required:"false" doc:"Heading of the readings; the second column when left out."`
}

// MeterReport says what was found in metered data and what was done to it.
type MeterReport struct {
	StepS       int      `json:"step_s" doc:"Interval of the meter."`
	First       string   `json:"first" doc:"Start of the first interval, standard time."`
	Last        string   `json:"last" doc:"Start of the last interval, standard time."`
	Rows        int      `json:"rows" doc:"Readings that were read."`
	Repeated    int      `json:"repeated_rows" doc:"Readings that came twice with the same value and count once."`
	Missing     int      `json:"missing_rows" doc:"Intervals without a reading."`
	LongestGapH float64  `json:"longest_gap_h" doc:"Longest stretch without a reading."`
	Bridged     int      `json:"bridged_rows" doc:"Missing readings of gaps up to 2 h, on a line between their neighbours."`
	Borrowed    int      `json:"borrowed_rows" doc:"Missing readings of longer gaps, from the same hour of the same weekday in other weeks."`
	ClockJumps  []string `json:"clock_jumps,omitzero" required:"false" doc:"Stamps at which daylight saving began or ended."`
	MeteredKWh  float64  `json:"metered_kwh" doc:"Energy of the readings."`
	YearKWh     float64  `json:"year_kwh" doc:"Energy of the year that was made from them."`
}

const (
	bridgeS           = 2 * 3600 // longest gap that a line bridges (common practice)
	mostMissing       = 0.1      // part of the rows that may be missing (common practice)
	shortestDays      = 365
	borrowWeeks       = 4 // weeks to each side that a long gap may borrow from
	mostReportedLines = 20
)

// meter adds the metered load to the AC essential column and keeps the report.
func (b *builder) meter(m *Meter, p problems) {
	before := len(*p.list)
	readings := m.read(p)
	if len(*p.list) > before {
		return
	}
	grid, report := regular(readings, m, p)
	if len(*p.list) > before {
		return
	}
	grid.fill(report, p)
	if len(*p.list) > before {
		return
	}
	column := b.column(&Appliance{})
	year := grid.date(b.days[1:])
	perDay := dayS / b.stepS
	for row := range column {
		column[row] += year.meanW(row/perDay, row%perDay*b.stepS, b.stepS)
	}
	report.YearKWh = year.kWh()
	b.load.Meter = report
}

// lines reports faults of single lines, the first of them one by one.
type lines struct {
	p     problems
	count int
}

func (l *lines) add(line int, value any, allowed, unit, message string) {
	l.count++
	if l.count <= mostReportedLines {
		l.p.add(value, allowed, unit, fmt.Sprintf("line %d: %s", line, message))
	}
}

func (l *lines) close() {
	if more := l.count - mostReportedLines; more > 0 {
		l.p.add(nil, "", "", fmt.Sprintf("has %d more lines at fault", more))
	}
}
