package weather

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"math"
)

// Hash is the content id of a year: SHA-256 in hexadecimal over its site,
// calendar year, step and columns, so that the same weather has the same id
// whatever format it came in. Numbers are little-endian float64, −0 counts as
// 0; a column that is nil is told from one of zeros.
func (y *Year) Hash() string {
	h := sha256.New()
	buffer := make([]byte, 0, 8<<10)
	number := func(x float64) {
		buffer = binary.LittleEndian.AppendUint64(buffer, math.Float64bits(x+0))
		if len(buffer) == cap(buffer) {
			h.Write(buffer)
			buffer = buffer[:0]
		}
	}
	for _, x := range []float64{
		y.Site.LatitudeDeg, y.Site.LongitudeDeg, y.Site.ElevationM, y.Site.UTCOffsetH,
		float64(y.CalendarYear), float64(y.StepS),
	} {
		number(x)
	}
	for c := range columns {
		values := *y.values(c)
		if values == nil {
			number(-1)
			continue
		}
		number(float64(len(values)))
		for _, x := range values {
			number(x)
		}
	}
	h.Write(buffer)
	return hex.EncodeToString(h.Sum(nil))
}
