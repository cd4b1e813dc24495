package profiles

import (
	"bytes"
	"embed"
	"encoding/json"
	"fmt"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"
)

//go:embed catalogue/*/*.json
var files embed.FS

// Entry is one item of the catalogue: generic, of our own naming.
type Entry struct {
	// Kind is module, solar_charger, inverter, generator or load, and Key the
	// name that a system refers to the entry by.
	Kind string `json:"kind" doc:"module, solar_charger, inverter, generator or load."`
	Key  string `json:"key" doc:"Name that a system refers to the entry by."`
	// Title says what it is in a few words.
	Title string `json:"title" doc:"What it is in a few words."`
	// Basis is where its values come from, and BasisByMember where single ones
	// do (dotted paths).
	Basis         string            `json:"basis" doc:"Where its values come from."`
	BasisByMember map[string]string `json:"basis_by_member,omitzero" required:"false" doc:"Where single values come from, by dotted path."`
	// KWhPerDay is the mean daily energy of a load, rounded; 0 for anything
	// else.
	KWhPerDay float64 `json:"kwh_per_day,omitzero" required:"false" doc:"Mean daily energy of a load."`
	// Values are the members that the key stands for. Nobody may change the
	// bytes.
	Values json.RawMessage `json:"values" doc:"Members that the key stands for."`
}

// catalogue reads the embedded files once. A file that does not read is a
// mistake in the program and panics.
var catalogue = sync.OnceValue(func() map[string]map[string]Entry {
	entries := map[string]map[string]Entry{}
	kinds, err := files.ReadDir("catalogue")
	if err != nil {
		panic("profiles: " + err.Error())
	}
	for _, kind := range kinds {
		entries[kind.Name()] = map[string]Entry{}
		list, err := files.ReadDir(path.Join("catalogue", kind.Name()))
		if err != nil {
			panic("profiles: " + err.Error())
		}
		for _, file := range list {
			key := strings.TrimSuffix(file.Name(), ".json")
			entries[kind.Name()][key] = readEntry(kind.Name(), key)
		}
	}
	return entries
})

func readEntry(kind, key string) Entry {
	name := path.Join("catalogue", kind, key+".json")
	data, err := files.ReadFile(name)
	if err != nil {
		panic("profiles: " + err.Error())
	}
	e := Entry{Kind: kind, Key: key}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&e); err != nil {
		panic(fmt.Sprintf("profiles: %s: %v", name, err))
	}
	return e
}

// Kinds lists the kinds of entry, sorted.
func Kinds() []string { return slices.Sorted(maps.Keys(catalogue())) }

// Keys lists the keys of a kind, sorted; none for a kind that does not exist.
func Keys(kind string) []string { return slices.Sorted(maps.Keys(catalogue()[kind])) }

// Lookup returns the values of an entry, a JSON object, and whether there is
// one. Nobody may change the bytes.
func Lookup(kind, key string) (json.RawMessage, bool) {
	e, ok := catalogue()[kind][key]
	return e.Values, ok
}

// List returns every entry, sorted by kind and key.
func List() []Entry {
	var list []Entry
	for _, kind := range Kinds() {
		for _, key := range Keys(kind) {
			list = append(list, catalogue()[kind][key])
		}
	}
	return list
}
