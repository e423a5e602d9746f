package scheduler

import (
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/goccy/go-yaml/ast"

	"limbround/geo"
)

// policyDecoder walks the YAML tree beside the Go value it fills. Unlike a
// general decoder it does not stop at the first fault, and it remembers the
// line of every path, so that the checks of the finished policy can name the
// line of the figure they refuse.
type policyDecoder struct {
	faults []Fault
	lines  map[string]int  // path -> line
	bad    map[string]bool // paths that already have a fault
}

func newPolicyDecoder() *policyDecoder {
	return &policyDecoder{lines: map[string]int{}, bad: map[string]bool{}}
}

// refuse adds a fault at a path. A path gets only its first one, and none when
// the block it would stand in has been refused already. A path that the file
// does not have takes the line of its nearest parent.
func (d *policyDecoder) refuse(path, value, format string, args ...any) {
	line, found := d.lines[path]
	if d.bad[path] {
		return
	}
	for at := path; at != ""; {
		at = parentPath(at)
		if d.bad[at] {
			return
		}
		if !found {
			line, found = d.lines[at]
		}
	}
	d.bad[path] = true
	d.faults = append(d.faults, Fault{Line: line, Field: path, Value: value, Rule: fmt.Sprintf(format, args...)})
}

// given reports whether the file has the path and it decoded without a fault.
func (d *policyDecoder) given(path string) bool {
	_, ok := d.lines[path]
	return ok && !d.bad[path]
}

func parentPath(path string) string {
	return path[:max(strings.LastIndexAny(path, ".["), 0)]
}

func joinPath(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}

func (d *policyDecoder) document(n ast.Node, p *Policy) {
	d.lines[""] = max(lineOf(n), 1)
	d.value("", n, reflect.ValueOf(p).Elem())
}

var (
	lengthType   = reflect.TypeFor[geo.Length]()
	dateType     = reflect.TypeFor[Date]()
	monthDayType = reflect.TypeFor[MonthDay]()
)

func (d *policyDecoder) value(path string, n ast.Node, v reflect.Value) {
	switch n.Type() {
	case ast.AnchorType, ast.AliasType, ast.TagType, ast.MergeKeyType:
		d.refuse(path, n.GetToken().Value, "anchors, aliases and tags are not used in a policy: write the value out")
		return
	case ast.NullType:
		d.refuse(path, "", "has no value")
		return
	}
	switch v.Type() {
	case lengthType:
		scalar(d, path, n, v, parseLength)
	case dateType:
		scalar(d, path, n, v, ParseDate)
	case monthDayType:
		scalar(d, path, n, v, parseMonthDay)
	default:
		d.kind(path, n, v)
	}
}

func (d *policyDecoder) kind(path string, n ast.Node, v reflect.Value) {
	switch v.Kind() {
	case reflect.Struct:
		d.structure(path, n, v)
	case reflect.Slice:
		d.list(path, n, v)
	case reflect.Map:
		d.table(path, n, v)
	case reflect.Int:
		scalar(d, path, n, v, func(s string) (int, error) {
			i, err := strconv.Atoi(s)
			if err != nil {
				return 0, fmt.Errorf("want a whole number")
			}
			return i, nil
		})
	case reflect.Float64:
		scalar(d, path, n, v, func(s string) (float64, error) {
			f, err := strconv.ParseFloat(s, 64)
			if err != nil || f != f || f > 1e9 || f < -1e9 {
				return 0, fmt.Errorf("want a number")
			}
			return f, nil
		})
	case reflect.Bool:
		scalar(d, path, n, v, func(s string) (bool, error) {
			if s != "true" && s != "false" {
				return false, fmt.Errorf("want true or false")
			}
			return s == "true", nil
		})
	default: // the remaining fields are strings
		scalar(d, path, n, v, func(s string) (string, error) { return s, nil })
	}
}

// scalar reads the text of n with parse and stores the result.
func scalar[T any](d *policyDecoder, path string, n ast.Node, v reflect.Value, parse func(string) (T, error)) {
	text := ""
	switch s := n.(type) {
	case *ast.StringNode:
		text = s.Value
	case *ast.LiteralNode:
		text = s.Value.Value
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		text = n.GetToken().Value
	default:
		d.refuse(path, "", "want a single value, not a list or a block")
		return
	}
	x, err := parse(strings.TrimSpace(text))
	if err != nil {
		d.refuse(path, text, "%s", err)
		return
	}
	v.Set(reflect.ValueOf(x).Convert(v.Type()))
}

// entries lists the key-value pairs of a block; nil with a fault when n is none.
func (d *policyDecoder) entries(path string, n ast.Node) []*ast.MappingValueNode {
	switch m := n.(type) {
	case *ast.MappingNode:
		return m.Values
	case *ast.MappingValueNode:
		return []*ast.MappingValueNode{m}
	default:
		d.refuse(path, n.GetToken().Value, "want a block of keys and values")
		return nil
	}
}

func (d *policyDecoder) structure(path string, n ast.Node, v reflect.Value) {
	fields := map[string]int{}
	var names []string
	for i := range v.NumField() {
		if name := v.Type().Field(i).Tag.Get("yaml"); name != "" && name != "-" {
			fields[name] = i
			names = append(names, name)
		}
	}
	for _, e := range d.entries(path, n) {
		key := e.Key.GetToken().Value
		at := joinPath(path, key)
		d.lines[at] = lineOf(e.Key)
		i, known := fields[key]
		if !known {
			d.refuse(at, "", "is not a key of a policy; keys here: %s", strings.Join(names, ", "))
			continue
		}
		d.value(at, e.Value, v.Field(i))
	}
}

func (d *policyDecoder) list(path string, n ast.Node, v reflect.Value) {
	seq, ok := n.(*ast.SequenceNode)
	if !ok {
		d.refuse(path, n.GetToken().Value, "want a list")
		return
	}
	v.Set(reflect.MakeSlice(v.Type(), len(seq.Values), len(seq.Values)))
	for i, item := range seq.Values {
		at := fmt.Sprintf("%s[%d]", path, i)
		d.lines[at] = lineOf(item)
		d.value(at, item, v.Index(i))
	}
}

func (d *policyDecoder) table(path string, n ast.Node, v reflect.Value) {
	v.Set(reflect.MakeMap(v.Type()))
	for _, e := range d.entries(path, n) {
		key := e.Key.GetToken().Value
		at := joinPath(path, key)
		d.lines[at] = lineOf(e.Key)
		x := reflect.New(v.Type().Elem()).Elem()
		d.value(at, e.Value, x)
		v.SetMapIndex(reflect.ValueOf(key).Convert(v.Type().Key()), x)
	}
}

var lengthUnits = []struct {
	name string
	mm   float64
}{{"mm", 1}, {"cm", 10}, {"m", 1000}, {"in", 25.4}, {"ft", 304.8}}

// parseLength reads a length with its unit, one of mm, cm, m, in, ft: "8 ft",
// "4.27 m". A bare number is refused, since no one can tell what it means.
func parseLength(s string) (geo.Length, error) {
	number := strings.TrimRight(s, "abcdefghijklmnopqrstuvwxyz")
	unit := s[len(number):]
	i := slices.IndexFunc(lengthUnits, func(u struct {
		name string
		mm   float64
	},
	) bool {
		return u.name == unit
	})
	f, err := strconv.ParseFloat(strings.TrimSpace(number), 64)
	if i < 0 || err != nil || !(f >= 0 && f*lengthUnits[i].mm <= 1e9) {
		return geo.None, fmt.Errorf("want a length with its unit: 8 ft, 2 in, 4.27 m, 15 cm or 50 mm")
	}
	return geo.Metres(f * lengthUnits[i].mm / 1000), nil
}

// parseMonthDay reads a day of every year written MM-DD; 29 February is
// refused, since most years lack it.
func parseMonthDay(s string) (MonthDay, error) {
	t, err := time.Parse("2006-01-02", "2001-"+s) // 2001 is no leap year
	if err != nil {
		return MonthDay{}, fmt.Errorf("want a day that every year has, written month-day: 11-01")
	}
	return MonthDay{int(t.Month()), t.Day()}, nil
}
