package weather

import (
	"bytes"
	"io"
)

// readPlain reads a CSV file with one header line: a time column (or date and
// time, or year, month, day, hour and minute columns) and columns recognised
// or stated by name. Separators are comma, semicolon or tab. Lines before the
// header that start with # may hold `# latitude_deg: 44.467` and the other
// members of the site, and `# interval_label: start`.
func readPlain(l *lines, o ReadOptions, p *Problems, give giveYear) error {
	site, line, err := plainPreamble(l, &o, p)
	if err != nil {
		return err
	}
	sep := separator(line)
	fields, bad := l.split(line, sep, 1000)
	if bad > 0 {
		return Problem{Line: l.number, Column: bad, Index: -1, Message: "the quotes of the field do not close", Cause: ErrFormat}
	}
	h := parseHeader(p, l.number, fields, o)
	return readDated(l, sep, newDated(p, o, FormatPlain, site, h, give))
}

// plainPreamble reads up to the header line and returns it with the site.
func plainPreamble(l *lines, o *ReadOptions, p *Problems) (Site, []byte, error) {
	var texts [4][]byte
	names := [4]string{"latitude_deg", "longitude_deg", "elevation_m", "utc_offset_h"}
	found := false
	for {
		line, err := l.next()
		if err != nil {
			return Site{}, nil, headerError(err, l)
		}
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		if line[0] == '#' {
			key, value, _ := bytes.Cut(line[1:], []byte{':'})
			if string(trimmed(key)) == "interval_label" && o.IntervalLabel == "" {
				o.IntervalLabel = statedLabel(p, l.number, string(trimmed(value)))
			}
			for i, name := range names {
				if string(trimmed(key)) == name {
					texts[i], found = append([]byte{}, trimmed(value)...), true
				}
			}
			continue
		}
		return chosenSite(p, l.number-1, texts, found, o.Site), line, nil
	}
}

// chosenSite is the site that a file states, else the caller's. texts are its
// four members in the order of Site.
func chosenSite(p *Problems, line int, texts [4][]byte, found bool, stated *Site) Site {
	switch {
	case found:
		return siteFrom(p, line, texts[:], siteFields{latitude: 1, longitude: 2, elevation: 3, offset: 4})
	case stated != nil:
		return *stated
	}
	p.add(Problem{Member: "site", Index: -1, Allowed: "latitude_deg, longitude_deg, elevation_m and utc_offset_h", Message: "is missing: the file does not say where it was measured", Cause: ErrFormat})
	return Site{}
}

// statedLabel takes the interval label that a file's own comment states.
func statedLabel(p *Problems, line int, label string) string {
	switch label {
	case "start", "end", "middle", "instant":
		return label
	}
	p.add(Problem{Line: line, Member: "interval_label", Index: -1, Value: label, Allowed: "start, end, middle or instant", Message: "is not a label that is known", Cause: ErrFormat})
	return ""
}

// separator is the sign of , ; and tab that cuts a header line into most
// fields.
func separator(line []byte) byte {
	best, most := byte(','), 0
	for _, sep := range []byte{';', '\t', ','} {
		if n := bytes.Count(line, []byte{sep}); n > most {
			best, most = sep, n
		}
	}
	return best
}

// readSatellite reads the CSV of the open national solar radiation database: a
// line of metadata names, a line of metadata values (the site among them), a
// header line, and rows with year, month, day, hour and minute. Its times are
// instants.
func readSatellite(l *lines, o ReadOptions, p *Problems, give giveYear) error {
	first, err := l.next()
	if err != nil {
		return headerError(err, l)
	}
	names, _ := l.split(first, ',', 200)
	var at siteFields
	for i, name := range names {
		switch string(name) {
		case "Latitude":
			at.latitude = i + 1
		case "Longitude":
			at.longitude = i + 1
		case "Elevation":
			at.elevation = i + 1
		case "Local Time Zone":
			at.offset = i + 1
		}
	}
	values, err := l.next()
	if err != nil {
		return headerError(err, l)
	}
	fields, _ := l.split(values, ',', 200)
	site := siteFrom(p, l.number, fields, at)
	line, err := l.next()
	if err != nil {
		return headerError(err, l)
	}
	fields, _ = l.split(line, ',', 200)
	o.Units = map[string]string{ghi.String(): "W/m2", dni.String(): "W/m2", dhi.String(): "W/m2", ambient.String(): "C", wind.String(): "m/s"}
	h := parseHeader(p, l.number, fields, o)
	return readDated(l, ',', newDated(p, o, FormatSatellite, site, h, give))
}

// readDated reads the rows below a header.
func readDated(l *lines, sep byte, d *dated) error {
	d.requireColumns(l.number)
	if len(d.p.List) > 0 {
		return nil // nothing below can be placed
	}
	if err := d.findStep(l, sep); err != nil {
		return err
	}
	for {
		line, err := l.next()
		if err == io.EOF {
			break
		}
		if err != nil {
			return err
		}
		if len(bytes.TrimSpace(line)) == 0 {
			continue
		}
		fields, bad := l.split(line, sep, d.header.limit)
		if bad > 0 {
			d.openQuote(l.number, bad)
			continue
		}
		d.row(l.number, fields)
	}
	d.end(l.number)
	return nil
}
