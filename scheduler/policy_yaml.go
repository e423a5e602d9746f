package scheduler

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
)

//go:embed presets/*.yaml
var presetFiles embed.FS

// Bounds of the file. The longest preset has under 14,000 bytes in 200 lines,
// the longest line under 400; the YAML reader takes time that grows with the
// square of lines and nesting, so text that is no policy is turned away first.
const (
	maxPolicyBytes = 64 << 10
	maxPolicyLines = 2000
	maxPolicyLine  = 1000
	maxPolicyDepth = 20 // of brackets
)

// Presets names the built-in starting policies, in alphabetical order.
func Presets() []string {
	files, err := fs.Glob(presetFiles, "presets/*.yaml")
	if err != nil {
		return nil // the pattern is a constant and well formed
	}
	for i, f := range files {
		files[i] = strings.TrimSuffix(strings.TrimPrefix(f, "presets/"), ".yaml")
	}
	slices.Sort(files)
	return files
}

// Preset returns the YAML text of a built-in policy; an unknown name is an
// Error of kind NotFound.
func Preset(name string) ([]byte, error) {
	if !slices.Contains(Presets(), name) {
		e := Errorf(NotFound, "policy preset %q: there is none of that name", name)
		e.Hint = "presets: " + strings.Join(Presets(), ", ")
		return nil, e
	}
	return presetFiles.ReadFile("presets/" + name + ".yaml")
}

// ParsePolicy reads a policy file. It is strict: an unknown or missing key, a
// value of the wrong kind, a length without its unit, a figure out of range,
// figures that contradict each other and a figure without a source are each a
// Fault with its line; all of them come back together in one Error of kind
// Invalid. ID is left zero.
func ParsePolicy(b []byte) (Policy, error) {
	var p Policy
	fault := policyBounds(b)
	if fault != nil {
		return p, policyError([]Fault{*fault})
	}
	root, fault := policyRoot(b)
	if fault != nil {
		return p, policyError([]Fault{*fault})
	}
	d := newPolicyDecoder()
	d.document(root, &p)
	p.check(d)
	if len(d.faults) > 0 {
		return Policy{}, policyError(d.faults)
	}
	return p, nil
}

func policyError(faults []Fault) *Error {
	slices.SortStableFunc(faults, func(a, b Fault) int { return a.Line - b.Line })
	e := Errorf(Invalid, "policy file: %s", faults[0])
	if n := len(faults); n > 1 {
		e.Message += fmt.Sprintf(" (and %d more)", n-1)
	}
	e.Hint = "correct the lines and read the file again; lengths carry a unit (8 ft, 4.27 m, 50 mm), days are month-day (11-01)"
	e.Fields = faults
	return e
}

// policyBounds refuses a text that is far from the size and shape of a policy.
func policyBounds(b []byte) *Fault {
	if len(b) > maxPolicyBytes {
		return &Fault{Rule: fmt.Sprintf("the file has %d bytes, at most %d", len(b), maxPolicyBytes)}
	}
	n, depth := 0, 0
	for line := range bytes.Lines(b) {
		n++
		if n > maxPolicyLines {
			return &Fault{Line: n, Rule: fmt.Sprintf("the file has more than %d lines", maxPolicyLines)}
		}
		if len(line) > maxPolicyLine {
			return &Fault{Line: n, Rule: fmt.Sprintf("the line has %d bytes, at most %d", len(line), maxPolicyLine)}
		}
		for _, c := range line {
			switch c {
			case '[', '{':
				depth++
			case ']', '}':
				depth--
			}
			if depth > maxPolicyDepth {
				return &Fault{Line: n, Rule: fmt.Sprintf("more than %d brackets stand open", maxPolicyDepth)}
			}
		}
	}
	return nil
}

// policyRoot parses the text into the tree of its only document.
func policyRoot(b []byte) (ast.Node, *Fault) {
	file, err := parser.ParseBytes(b, 0)
	if err != nil {
		f := Fault{Rule: "is not readable YAML: " + err.Error()}
		var y yaml.Error
		if errors.As(err, &y) {
			f.Rule = "is not readable YAML: " + y.GetMessage()
			if t := y.GetToken(); t != nil && t.Position != nil {
				f.Line = t.Position.Line
			}
		}
		return nil, &f
	}
	var docs []ast.Node
	for _, d := range file.Docs {
		if d.Body != nil && d.Body.Type() != ast.CommentGroupType {
			docs = append(docs, d.Body)
		}
	}
	switch len(docs) {
	case 0:
		return nil, &Fault{Rule: "the file holds no policy"}
	case 1:
		return docs[0], nil
	default:
		return nil, &Fault{Line: lineOf(docs[1]), Rule: "a second document starts here; one file holds one policy"}
	}
}

func lineOf(n ast.Node) int {
	if n == nil || n.GetToken() == nil || n.GetToken().Position == nil {
		return 0
	}
	return n.GetToken().Position.Line
}
