package document

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The test cases of RFC 7396, appendix A, all fifteen.
func TestMerge_RFC7396AppendixA(t *testing.T) {
	for _, c := range []struct{ original, patch, result string }{
		{`{"a":"b"}`, `{"a":"c"}`, `{"a":"c"}`},
		{`{"a":"b"}`, `{"b":"c"}`, `{"a":"b","b":"c"}`},
		{`{"a":"b"}`, `{"a":null}`, `{}`},
		{`{"a":"b","b":"c"}`, `{"a":null}`, `{"b":"c"}`},
		{`{"a":["b"]}`, `{"a":"c"}`, `{"a":"c"}`},
		{`{"a":"c"}`, `{"a":["b"]}`, `{"a":["b"]}`},
		{`{"a":{"b":"c"}}`, `{"a":{"b":"d","c":null}}`, `{"a":{"b":"d"}}`},
		{`{"a":[{"b":"c"}]}`, `{"a":[1]}`, `{"a":[1]}`},
		{`["a","b"]`, `["c","d"]`, `["c","d"]`},
		{`{"a":"b"}`, `["c"]`, `["c"]`},
		{`{"a":"foo"}`, `null`, `null`},
		{`{"a":"foo"}`, `"bar"`, `"bar"`},
		{`{"e":null}`, `{"a":1}`, `{"e":null,"a":1}`},
		{`[1,2]`, `{"a":"b","c":null}`, `{"a":"b"}`},
		{`{}`, `{"a":{"bb":{"ccc":null}}}`, `{"a":{"bb":{}}}`},
	} {
		base, patch := parsed(t, c.original), parsed(t, c.patch)
		assert.Equal(t, written(t, parsed(t, c.result)), written(t, Merge(base, patch)), "%s with %s", c.original, c.patch)
		assert.Equal(t, parsed(t, c.original), base, "base is not changed")
		assert.Equal(t, parsed(t, c.patch), patch, "patch is not changed")
	}
}

// The example of RFC 7396, section 3.
func TestMerge_RFC7396Section3(t *testing.T) {
	base := parsed(t, `{"title":"Goodbye!","author":{"givenName":"John","familyName":"Doe"},"tags":["example","sample"],"content":"This will be unchanged"}`)
	patch := parsed(t, `{"title":"Hello!","phoneNumber":"+01-123-456-7890","author":{"familyName":null},"tags":["example"]}`)
	assert.Equal(t, `{"author":{"givenName":"John"},"content":"This will be unchanged","phoneNumber":"+01-123-456-7890","tags":["example"],"title":"Hello!"}`,
		written(t, Merge(base, patch)))
}

func TestMerge_SharesAndKeepsOrder(t *testing.T) {
	base := parsed(t, `{"z":{"big":[1,2,3]},"a":1}`)
	merged := Merge(base, parsed(t, `{"new":2,"a":3}`))
	assert.Same(t, base.Get("z"), merged.Get("z"))
	assert.Same(t, base, Merge(base, parsed(t, `{}`)))
	assert.Same(t, base, Merge(base, nil))
	var names []string
	for _, m := range merged.Members() {
		names = append(names, m.Name)
	}
	assert.Equal(t, []string{"z", "a", "new"}, names)
}
