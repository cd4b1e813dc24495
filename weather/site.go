// Package weather holds a weather year: where it comes from (readers of open
// formats, synthesis from monthly means), whether it can be trusted (the
// quality report), and what the sun puts on a tilted plane.
//
// Angles are degrees; azimuth is clockwise from true north (180 is south);
// irradiance is W/m², the mean over an interval; a timestamp is the interval's
// start in site standard time, without daylight saving.
package weather

// Site is a place on the ground and its standard time.
type Site struct {
	LatitudeDeg  float64 `json:"latitude_deg" minimum:"-90" maximum:"90" doc:"Latitude, north positive."`
	LongitudeDeg float64 `json:"longitude_deg" minimum:"-180" maximum:"180" doc:"Longitude, east positive."`
	ElevationM   float64 `json:"elevation_m" minimum:"-500" maximum:"6000" doc:"Height above sea level."`
	UTCOffsetH   float64 `json:"utc_offset_h" minimum:"-12" maximum:"14" doc:"Standard time minus UTC; no daylight saving."`
}
