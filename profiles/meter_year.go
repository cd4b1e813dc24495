package profiles

import (
	"math"
	"time"
)

// fill closes the gaps: short ones by a straight line, long ones by the mean of
// the same interval of the same weekday in the nearest weeks that have it.
func (m *metered) fill(report *MeterReport, p problems) {
	p = p.at("csv")
	if days := len(m.w) * m.stepS / dayS; days < shortestDays {
		p.add(days, "at least 365", "d", "is not a year of readings")
		return
	}
	report.Missing = len(m.w) - report.Rows
	if part := float64(report.Missing) / float64(len(m.w)); part > mostMissing {
		p.add(math.Round(part*1000)/1000, "0 to 0.1", "", "is the part of the intervals without a reading")
		return
	}
	read := m.w
	m.w = append([]float64(nil), read...)
	for i := 0; i < len(read); i++ {
		if !math.IsNaN(read[i]) {
			continue
		}
		end := i // the first and the last row were read
		for math.IsNaN(read[end]) {
			end++
		}
		gap := end - i
		report.LongestGapH = max(report.LongestGapH, float64(gap*m.stepS)/3600)
		for k := i; k < end; k++ {
			if gap*m.stepS <= bridgeS {
				m.w[k] = read[i-1] + (read[end]-read[i-1])*float64(k-i+1)/float64(gap+1)
				report.Bridged++
				continue
			}
			w, found := borrowed(read, k, 7*dayS/m.stepS)
			if !found {
				p.add(m.start.Add(time.Duration(k*m.stepS)*time.Second).Format(stampLayout), "", "",
					"has no reading, nor has any such weekday within four weeks")
				return
			}
			m.w[k] = w
			report.Borrowed++
		}
		i = end
	}
}

// borrowed is the mean of the readings a whole number of weeks before and after
// row k, from the nearest week that has any.
func borrowed(read []float64, k, week int) (w float64, found bool) {
	for n := 1; n <= borrowWeeks; n++ {
		sum, count := 0.0, 0
		for _, i := range []int{k - n*week, k + n*week} {
			if i >= 0 && i < len(read) && !math.IsNaN(read[i]) {
				sum, count = sum+read[i], count+1
			}
		}
		if count > 0 {
			return sum / float64(count), true
		}
	}
	return 0, false
}

// dated is a metered load put into the days of a calendar year.
type dated struct {
	*metered
	first []int // row of the meter at which each day of the year starts
}

// date gives each day of the year the metered day of the same weekday that is
// nearest to it in the calendar; the earlier of two as near.
func (m *metered) date(days []day) dated {
	perDay := dayS / m.stepS
	lastYear := m.start.Add(time.Duration(len(m.w)*m.stepS) * time.Second).Year()
	y := dated{metered: m, first: make([]int, len(days))}
	for i, d := range days {
		best := math.MaxInt
		for year := m.start.Year() - 1; year <= lastYear+1; year++ {
			date := time.Date(year, time.Month(d.date/100), d.date%100, 0, 0, 0, 0, time.UTC)
			toWeekday := (d.weekday - int(date.Weekday()) + 7) % 7
			for _, shift := range []int{toWeekday - 14, toWeekday - 7, toWeekday, toWeekday + 7} {
				row := int(date.AddDate(0, 0, shift).Sub(m.start)/time.Second) / m.stepS
				if max(shift, -shift) < best && row >= 0 && row+perDay <= len(m.w) {
					best, y.first[i] = max(shift, -shift), row
				}
			}
		}
		if best == math.MaxInt {
			panic("profiles: a metered year has no day for one of the calendar's")
		}
	}
	return y
}

// meanW is the mean power of an interval of a day of the year, from fromS
// seconds after midnight and stepS long.
func (y *dated) meanW(day, fromS, stepS int) float64 {
	sum := 0.0
	for at := fromS; at < fromS+stepS; {
		k := at / y.stepS
		next := min((k+1)*y.stepS, fromS+stepS)
		sum += float64(y.w[y.first[day]+k] * float64(next-at))
		at = next
	}
	return sum / float64(stepS)
}

// kWh is the energy of the year.
func (y *dated) kWh() float64 {
	sum := 0.0
	for _, row := range y.first {
		for _, w := range y.w[row : row+dayS/y.stepS] {
			sum += w
		}
	}
	return sum * float64(y.stepS) / 3.6e6
}
