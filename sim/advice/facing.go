package advice

import (
	"fmt"
	"math"
)

// A plane is looked at from this tilt on and this far from the equator, and faces
// away from it within 60° of the nearer pole: common practice, no source.
const facingTiltDeg, facingLatitudeDeg, facingCosine = 15, 25, 0.5

// facing asks whether fixed planes face the equator, where the sun stands at noon:
// outside the tropics an azimuth that is taken over from the other hemisphere, or
// counted from the south, puts them in their own shade.
func (f *fit) facing() {
	latitude := f.s.Site.LatitudeDeg
	if math.Abs(latitude) < facingLatitudeDeg {
		return
	}
	toward, side, way := 180.0, "north", "south"
	if latitude < 0 {
		toward, side, way = 0, "south", "north"
	}
	var away []string
	for _, name := range sortedKeys(f.s.Array.Planes) {
		p := f.s.Array.Planes[name]
		if p.Tracker == nil && p.TiltDeg >= facingTiltDeg && math.Cos((p.AzimuthDeg-toward)*math.Pi/180) <= -facingCosine {
			away = append(away, fmt.Sprintf("%s (%s°)", name, fixed(p.AzimuthDeg, 0)))
		}
	}
	const check, subject = "planes_facing", "planes that face the sun"
	if len(away) == 0 {
		f.add(check, subject, Pass, practice, "No tilted plane faces away from the equator.")
		return
	}
	verdict := Caution
	if len(away) == len(f.s.Array.Planes) {
		verdict = Fail
	}
	f.add(check, subject, verdict, practice, fmt.Sprintf("At %s° %s the sun stands in the %s at noon, and %s away from it. azimuth_deg counts clockwise from true north.",
		fixed(math.Abs(latitude), 1), side, way, listFacing(away)))
}

func listFacing(away []string) string {
	if len(away) == 1 {
		return "plane " + away[0] + " faces"
	}
	return "planes " + list(away) + " face"
}
