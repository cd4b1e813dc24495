package weather

import (
	"fmt"
	"io"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// longFile writes rows as they are read: a file that is nowhere in memory.
type longFile struct {
	at, end time.Time
	step    time.Duration
	rest    []byte
}

func (f *longFile) Read(b []byte) (int, error) {
	for len(f.rest) == 0 {
		if !f.at.Before(f.end) {
			return 0, io.EOF
		}
		sun := 0
		if f.at.Hour() >= 10 && f.at.Hour() < 14 {
			sun = 400
		}
		f.rest = fmt.Appendf(f.rest[:0], "%s,%d,-3.5,2\n", f.at.Format("2006-01-02 15:04"), sun)
		f.at = f.at.Add(f.step)
	}
	n := copy(b, f.rest)
	f.rest = f.rest[n:]
	return n, nil
}

// Twenty years are read in the memory of about one: the columns of a year of
// ten minutes are 1.3 MB, all of them 25 MB, and the text 30 MB.
func TestReadYears_MemoryIsBounded(t *testing.T) {
	f := &longFile{at: time.Date(2001, 1, 1, 0, 0, 0, 0, time.UTC), end: time.Date(2021, 1, 1, 0, 0, 0, 0, time.UTC), step: 10 * time.Minute}
	var years int
	var most uint64
	err := ReadYears(io.MultiReader(strings.NewReader("time,ghi,temp,wind\n"), f), ReadOptions{Site: &valley}, func(r *Reading) {
		years++
		assert.Equal(t, 2000+years, r.Year.CalendarYear)
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		most = max(most, m.HeapAlloc)
	})
	require.NoError(t, err)
	assert.Equal(t, 20, years)
	assert.Less(t, most, uint64(24<<20))
}

// Two rows an hour, stamped with the minute that they end. Irradiance in an
// EPW file is Wh/m² in the interval: 50 in half an hour are 100 W/m².
func TestRead_HalfHourEPW(t *testing.T) {
	var b strings.Builder
	b.WriteString("LOCATION,Tucson,AZ,USA,TMY3,722740,32.13,-110.95,-7.0,777.0\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\n" +
		"GROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,\nCOMMENTS 2,\nDATA PERIODS,1,2,Data,Sunday, 1/ 1,12/31\n")
	for i := range 17520 {
		at := time.Date(2023, 1, 1, 0, 30*i, 0, 0, time.UTC)
		sun := 0
		if at.Hour() == 12 {
			sun = 50
		}
		fmt.Fprintf(&b, "2002,%d,%d,%d,%d,?,7.2,3.3,76,92600,0,0,291,%d,0,%d,0,0,0,0,170,2.1\n", at.Month(), at.Day(), at.Hour()+1, at.Minute()+30, sun, sun)
	}
	got, err := Read(strings.NewReader(b.String()), ReadOptions{})
	require.NoError(t, err)
	assert.Equal(t, 1800, got.Year.StepS)
	assert.Equal(t, []float64{0, 100, 100, 0}, got.Year.GHI[23:27])
	assert.Contains(t, fmt.Sprint(got.Assumed), "Wh/m² per interval")

	_, err = Read(strings.NewReader(strings.Replace(b.String(), ",1,30,?", ",1,20,?", 1)), ReadOptions{})
	assertFault(t, err, wantFault{ErrTime, 9, 5, "minute"})
}
