package weather

import (
	"bufio"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
)

// WriteCSV writes a year as plain CSV, which Read reads back exactly: comment
// lines with the site and the interval label, a header line with the members'
// names, and a row an interval with its start and the shortest decimal numbers
// that give back the same float64. A column of marks, such as
// "ghi_w_m2=interpolated ambient_c=interpolated", follows when filled is not
// empty. The year must have passed Check.
func WriteCSV(w io.Writer, y *Year, filled []Fill) error {
	b := bufio.NewWriter(w)
	for _, line := range []struct {
		name  string
		value float64
	}{
		{"latitude_deg", y.Site.LatitudeDeg}, {"longitude_deg", y.Site.LongitudeDeg},
		{"elevation_m", y.Site.ElevationM}, {"utc_offset_h", y.Site.UTCOffsetH},
	} {
		fmt.Fprintf(b, "# %s: %s\n", line.name, strconv.FormatFloat(line.value, 'g', -1, 64))
	}
	b.WriteString("# interval_label: start\nstart")
	var given []column
	for c := range columns {
		if *y.values(c) != nil {
			given = append(given, c)
			b.WriteString("," + c.String())
		}
	}
	marks := marksOf(filled)
	if marks != nil {
		b.WriteString("," + filledColumn)
	}
	b.WriteByte('\n')
	row := make([]byte, 0, 256)
	minute, _ := minuteOf(y.CalendarYear, 1, 1, 0)
	for i := range y.Len() {
		row = time.Unix((minute*60)+int64(i*y.StepS), 0).UTC().AppendFormat(row[:0], "2006-01-02T15:04")
		for _, c := range given {
			row = append(row, ',')
			row = strconv.AppendFloat(row, (*y.values(c))[i]+0, 'g', -1, 64)
		}
		if marks != nil {
			row = append(append(row, ','), marks[i]...)
		}
		row = append(row, '\n')
		if _, err := b.Write(row); err != nil {
			return err
		}
	}
	return b.Flush()
}

// filledColumn is the name of the column of marks.
const filledColumn = "filled"

// marksOf turns fills into the text of each row that has one; nil for none.
func marksOf(filled []Fill) map[int]string {
	if len(filled) == 0 {
		return nil
	}
	marks := map[int]string{}
	for _, f := range filled {
		for i := f.Index; i < f.Index+f.Count; i++ {
			text := f.Member + "=" + f.Rule
			if marks[i] != "" {
				text = marks[i] + " " + text
			}
			marks[i] = text
		}
	}
	return marks
}

// fillsOf reads the mark of one row. ok is false for a text that is none.
func fillsOf(mark string, row int) (fills []Fill, ok bool) {
	for _, part := range strings.Fields(mark) {
		member, rule, _ := strings.Cut(part, "=")
		known := false
		for c := range columns {
			known = known || c.String() == member
		}
		switch rule {
		case FillClosure, FillInterpolated, FillNearbyDays, FillLeapDay:
		default:
			known = false
		}
		if !known {
			return nil, false
		}
		fills = append(fills, Fill{member, row, 1, rule})
	}
	return fills, true
}
