package jobs

import (
	"fmt"
	"slices"
	"strings"

	"limbround/scheduler"
)

// speciesMatcher finds the species a city's word stands for. A word matches
// exactly or not at all: a near miss is answered with "did you mean". What may
// differ is case, blanks, the hybrid sign, a cultivar, an infraspecific rank,
// an author's name, a common name in brackets or behind a dash, and a common
// name written last word first ("Maple, Red").
type speciesMatcher struct {
	codes   map[string]string // folded name to code; empty when several share it
	shared  map[string][]string
	names   []string          // folded names, sorted, for suggestions
	shown   map[string]string // folded name as a person writes it
	aliases map[string]string
	seen    map[string]match
}

type match struct{ code, rule string }

func newSpeciesMatcher(list []scheduler.Species, aliases map[string]string) (*speciesMatcher, error) {
	m := &speciesMatcher{
		codes: map[string]string{}, shared: map[string][]string{}, shown: map[string]string{},
		aliases: map[string]string{}, seen: map[string]match{},
	}
	add := func(name, code string) {
		key := foldName(name)
		if key == "" {
			return
		}
		if other, ok := m.codes[key]; ok && other != code {
			if len(m.shared[key]) == 0 {
				m.shared[key] = []string{other}
			}
			m.shared[key] = append(m.shared[key], code)
			return
		}
		m.codes[key], m.shown[key] = code, name
	}
	for _, s := range list {
		add(s.Code, s.Code)
		add(s.Scientific, s.Code)
		add(s.Common, s.Code)
		for _, n := range s.Synonyms {
			add(n, s.Code)
		}
	}
	for key := range m.codes {
		m.names = append(m.names, key)
	}
	slices.Sort(m.names)
	for name, code := range aliases {
		c, ok := m.codes[foldName(code)]
		if !ok {
			return nil, fmt.Errorf("species: %q stands for %q, which is no known species", name, code)
		}
		m.aliases[name] = c
	}
	return m, nil
}

// foldName is a name in the form in which names are compared.
func foldName(s string) string {
	s = strings.NewReplacer("×", " x ", "_", " ", "’", "'", "‘", "'", "`", "'", "“", `"`, "”", `"`).Replace(strings.ToLower(s))
	words := strings.Fields(s)
	if len(words) > 2 {
		words = slices.DeleteFunc(words, func(w string) bool { return w == "x" }) // the hybrid sign
	}
	return strings.Trim(strings.Join(words, " "), " .,;")
}

const maxSeen = 20000 // distinct raw names that are remembered

// find returns the code for a raw name, or the rule that it breaks.
func (m *speciesMatcher) find(raw string) (code, rule string) {
	if r, ok := m.seen[raw]; ok {
		return r.code, r.rule
	}
	code, rule = m.look(raw)
	if len(m.seen) < maxSeen {
		m.seen[raw] = match{code, rule}
	}
	return code, rule
}

func (m *speciesMatcher) look(raw string) (code, rule string) {
	full := foldName(raw)
	if c, ok := m.aliases[full]; ok {
		return c, ""
	}
	found := map[string]bool{}
	for _, name := range parts(full) {
		for _, form := range forms(name) {
			if codes := m.shared[form]; codes != nil {
				return "", fmt.Sprintf("the name is shared by %s; write the scientific name or a code", strings.Join(codes, ", "))
			}
			if c, ok := m.codes[form]; ok {
				code = c
				found[c] = true
				break
			}
		}
	}
	switch len(found) {
	case 1:
		return code, ""
	case 0:
		return "", "not a known species" + m.suggest(full)
	}
	return "", "its names stand for different species"
}

// parts splits "Acer rubrum - Red maple" and "Acer rubrum (red maple)". A name
// without such marks is its own only part.
func parts(s string) []string {
	if a, b, ok := strings.Cut(s, "("); ok {
		b, after, _ := strings.Cut(b, ")")
		return []string{strings.TrimSpace(a + after), strings.TrimSpace(b)}
	}
	for _, sep := range []string{" :: ", " - ", " – ", " / ", "; ", " | "} {
		if a, b, ok := strings.Cut(s, sep); ok {
			return []string{strings.TrimSpace(a), strings.TrimSpace(b)}
		}
	}
	return []string{s}
}

// forms are the ways to read one folded name, nearest first.
func forms(s string) []string {
	out := []string{s}
	bare := s
	for _, q := range []string{" '", ` "`, " cv. ", " cultivar "} {
		if a, _, ok := strings.Cut(bare, q); ok {
			bare = a
		}
	}
	bare = strings.Trim(bare, " ,")
	out = append(out, bare)
	if last, first, ok := strings.Cut(bare, ","); ok { // "maple, red"
		out = append(out, strings.TrimSpace(first)+" "+last)
	}
	for _, rank := range []string{" var. ", " var ", " subsp. ", " ssp. ", " f. ", " fo. "} {
		if a, _, ok := strings.Cut(bare, rank); ok {
			return append(out, a)
		}
	}
	// An author's name follows an epithet: it is short with a point, or in capitals
	// that folding has removed; so only the abbreviated form is recognised.
	words := strings.Fields(bare)
	if n := len(words); n == 3 && (words[2] == "l" || strings.HasSuffix(words[2], ".")) {
		out = append(out, words[0]+" "+words[1])
	}
	return out
}

// suggest names the nearest known names within a small edit distance.
func (m *speciesMatcher) suggest(s string) string {
	near := nearest(forms(s)[1], m.names, 2)
	for i, n := range near {
		near[i] = m.shown[n]
	}
	if len(near) == 0 {
		return "; add it to the species table or give it an alias in the mapping"
	}
	return "; did you mean " + strings.Join(near, " or ") + "?"
}
