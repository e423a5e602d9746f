package file

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"
)

// collection walks a FeatureCollection, or a file that is one Feature.
type collection struct {
	dec     *json.Decoder
	srid    int // stated by the caller, 0 for none
	started bool
	inside  bool // within the features array
	done    bool
}

func (c *collection) next() (json.RawMessage, error) {
	if c.done {
		return nil, io.EOF
	}
	if !c.started {
		c.started = true
		whole, err := c.open()
		if err != nil || whole != nil {
			c.done = true
			return whole, unexpected(err)
		}
	}
	if c.inside && c.dec.More() {
		var raw json.RawMessage
		if err := c.dec.Decode(&raw); err != nil {
			return nil, unexpected(err)
		}
		return raw, nil
	}
	c.done = true
	if err := c.finish(); err != nil {
		return nil, unexpected(err)
	}
	return nil, io.EOF
}

// unexpected turns an end in the middle into an error that says so.
func unexpected(err error) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return errors.New("the file ends in the middle; it may have been cut off")
	}
	return err
}

// open reads up to the first feature. A file that is a single Feature comes
// back whole.
func (c *collection) open() (json.RawMessage, error) {
	if t, err := c.dec.Token(); err != nil {
		return nil, err
	} else if t != json.Delim('{') {
		return nil, errors.New(`the file must start with an object, a FeatureCollection`)
	}
	members := map[string]json.RawMessage{}
	for c.dec.More() {
		t, err := c.dec.Token()
		if err != nil {
			return nil, err
		}
		name, _ := t.(string)
		switch name {
		case "features":
			if t, err = c.dec.Token(); err != nil {
				return nil, err
			} else if t != json.Delim('[') {
				return nil, errors.New(`the member "features" must be an array`)
			}
			c.inside = true
			return nil, nil
		case "type", "geometry", "properties", "id", "crs":
			var raw json.RawMessage
			if err := c.dec.Decode(&raw); err != nil {
				return nil, err
			}
			members[name] = raw
			if name == "crs" {
				if err := c.checkCRS(raw); err != nil {
					return nil, err
				}
			}
		default:
			if err := skip(c.dec); err != nil {
				return nil, err
			}
		}
	}
	if kind := plain(members["type"]); kind != "Feature" {
		return nil, fmt.Errorf("the file is a %q, not a FeatureCollection", clip(kind))
	}
	return json.Marshal(members)
}

// finish reads what follows the features, to be sure that the file is whole.
func (c *collection) finish() error {
	if _, err := c.dec.Token(); err != nil { // the end of the array
		return err
	}
	for c.dec.More() {
		t, err := c.dec.Token()
		if err != nil {
			return err
		}
		if t == "crs" {
			var raw json.RawMessage
			if err := c.dec.Decode(&raw); err != nil {
				return err
			}
			if err := c.checkCRS(raw); err != nil {
				return err
			}
			continue
		}
		if err := skip(c.dec); err != nil {
			return err
		}
	}
	_, err := c.dec.Token()
	return err
}

// skip passes over one value of any size without holding it.
func skip(dec *json.Decoder) error {
	depth := 0
	for {
		t, err := dec.Token()
		if err != nil {
			return err
		}
		switch t {
		case json.Delim('{'), json.Delim('['):
			depth++
		case json.Delim('}'), json.Delim(']'):
			depth--
		}
		if depth == 0 {
			return nil
		}
	}
}

// checkCRS refuses the "crs" member of the format's older form unless it names
// longitude and latitude or the caller has stated the system.
func (c *collection) checkCRS(raw json.RawMessage) error {
	s := strings.ToUpper(string(raw))
	if c.srid != 0 || string(raw) == "null" || strings.Contains(s, "CRS84") ||
		strings.Contains(s, "EPSG:4326") || strings.Contains(s, "EPSG::4326") {
		return nil
	}
	return fmt.Errorf(`the file names another coordinate system (%s); GeoJSON is longitude and latitude (RFC 7946). Convert it, or state "crs:" in the mapping`, clip(string(raw)))
}
