package weather

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The kept sun is that of the year, and of a copy only while it is the same sun.
func TestKeepSun(t *testing.T) {
	y := &Year{Site: Site{LatitudeDeg: 44, LongitudeDeg: -73, UTCOffsetH: -5}, CalendarYear: 2025, StepS: 3600}
	want := y.Sun()
	y.KeepSun()
	kept := y.Sun()
	assert.Equal(t, want, kept)
	assert.Same(t, kept, y.Sun())
	y.KeepSun()
	assert.Same(t, kept, y.Sun(), "kept once")
	copied := *y
	copied.AmbientC = make([]float64, 8760)
	assert.Same(t, kept, copied.Sun())
	for name, change := range map[string]func(*Year){
		"site": func(y *Year) { y.Site.LatitudeDeg = 45 }, "clock": func(y *Year) { y.Site.UTCOffsetH = -6 },
		"calendar": func(y *Year) { y.CalendarYear = 2026 }, "leap": func(y *Year) { y.CalendarYear = 2024 }, "step": func(y *Year) { y.StepS = 1800 },
	} {
		other := *y
		change(&other)
		fresh := other
		fresh.kept = nil
		assert.Equal(t, fresh.Sun(), other.Sun(), name)
		other.KeepSun()
		assert.Equal(t, fresh.Sun(), other.Sun(), name)
		assert.Same(t, other.Sun(), other.Sun(), name)
		assert.Same(t, kept, y.Sun(), name)
	}
	none := &Year{}
	none.KeepSun()
	assert.Nil(t, none.kept)
}
