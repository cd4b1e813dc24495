package api

import "bankyear/weather"

// known is what requests brought along, as it was made last. The same content is the
// same object again: it needs no second check, a year has its sun, and plans take
// over rows. Safe for concurrent use; a nil one knows nothing.
type known struct {
	years *recent[string, *weather.Year] // by content hash, with what settle adds
	loads *recent[string, *demand]       // by the weather's hash and the request's text, or by content hash
}

// newKnown keeps up to heldBytes.
func newKnown(heldBytes int64) *known {
	return &known{
		years: newRecent[string](heldBytes/2, func(y *weather.Year) int64 { return yearBytes(y) + sunBytes*int64(y.Len()) }),
		loads: newRecent[string](heldBytes/2, (*demand).bytes),
	}
}

// year is the year with a content hash; nil when it is not known.
func (k *known) year(hash string) *weather.Year {
	if k == nil {
		return nil
	}
	y, _ := k.years.get(hash)
	return y
}

// sameYear is a year in place of which the one with its hash is used, if it is known;
// else it is known from now on.
func (k *known) sameYear(hash string, y *weather.Year) *weather.Year {
	if k == nil {
		return y
	}
	if known := k.year(hash); known != nil {
		return known
	}
	y.KeepSun()
	k.years.put(hash, y)
	return y
}

// load is the load with a key; nil when it is not known.
func (k *known) load(key string) *demand {
	if k == nil {
		return nil
	}
	d, _ := k.loads.get(key)
	return d
}

// sameLoad likewise keeps a load by a key.
func (k *known) sameLoad(key string, d *demand) *demand {
	if k == nil {
		return d
	}
	if known := k.load(key); known != nil {
		return known
	}
	k.loads.put(key, d)
	return d
}
