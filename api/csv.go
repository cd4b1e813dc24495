package api

import (
	"strconv"

	"bankyear/sim"
)

// EncodeCSV writes the hours: one header line with the column names, one line an
// interval, commas, lines ended with CRLF (RFC 4180). Nothing in it needs
// quotes. Numbers have the fewest digits that read back the same float32; no value is an
// empty field.
func EncodeCSV(h *sim.Hours) []byte {
	columns := Columns()
	out := make([]byte, 0, h.Len()*len(columns)*7)
	for i, c := range columns {
		if i > 0 {
			out = append(out, ',')
		}
		out = append(out, c.Name...)
	}
	out = append(out, "\r\n"...)
	for i, ms := range h.StartLocalMs {
		out = append(out, stamp(ms)...)
		for _, values := range h.Values {
			if out = append(out, ','); !none(values[i]) {
				out = appendFloat(out, values[i])
			}
		}
		out = append(append(out, ','), h.Downtime[i].String()...)
		out = append(append(out, ','), h.Curtailed[i].String()...)
		out = strconv.AppendBool(append(out, ','), h.LinkUp[i])
		out = append(out, "\r\n"...)
	}
	return out
}
