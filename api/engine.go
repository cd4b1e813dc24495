package api

import (
	"runtime"
	"runtime/debug"
	"strings"
	"sync"

	"bankyear/api/document"
	"bankyear/sim"
	"bankyear/sim/cost"
)

// Engine is the identity that the same bytes are promised for: the version of
// the laws, the processor architecture and its level, because the compiler
// joins multiplications and additions differently on each.
var Engine = sync.OnceValue(func() string {
	parts := []string{sim.EngineVersion, runtime.GOARCH}
	if info, ok := debug.ReadBuildInfo(); ok {
		for _, s := range info.Settings {
			if s.Key == "GO"+strings.ToUpper(runtime.GOARCH) && s.Value != "" {
				parts = append(parts, s.Value)
			}
		}
	}
	return strings.Join(parts, "/")
})

// contentHash names what an answer is computed from: SHA-256 of the canonical
// JSON (RFC 8785) of the expanded and completed system without names, notes and
// keys, the hashes of the weather's and the load's columns, the engine, and the
// prices if there are any.
func contentHash(s *sim.System, weatherHash, loadHash string, prices *cost.Prices) string {
	parts := []string{weatherHash, loadHash, Engine()}
	if prices != nil {
		parts = append(parts, document.Hash(prices))
	}
	return document.Hash(s, parts...)
}
