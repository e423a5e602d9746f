package jobs

import (
	"bufio"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"

	"limbround/geo"
	"limbround/geo/file"
	"limbround/scheduler"
)

// cityFile is one layer's file on its way to disk.
type cityFile struct {
	layer   scheduler.Layer
	header  int // lines before the first row
	columns []string
	values  []any
	f       *os.File
	buf     *bufio.Writer
	csv     *file.CSVWriter
	geojson *file.GeoJSONWriter
}

// open makes the file of a layer. Layers with shapes are GeoJSON, those
// without are CSV; points may be either, and then CSV has lon and lat columns.
func (w *cityWriter) open(name, format string) (*cityFile, error) {
	layer, ok := scheduler.LayerNamed(name)
	if !ok {
		return nil, noLayer(name)
	}
	if format == "" {
		format = "csv"
		if layer.Geometry != scheduler.GeometryNone && name != "trees" {
			format = "geojson"
		}
	}
	path := filepath.Join(w.q.Out, name+"."+format)
	f, err := os.Create(path)
	if err != nil {
		return nil, scheduler.Wrap(scheduler.Invalid, "write "+path, err)
	}
	w.out.Files = append(w.out.Files, filepath.Base(path))
	w.out.Counts[name] += 0 // an empty layer is counted too
	c := &cityFile{layer: layer, f: f, buf: bufio.NewWriterSize(f, 1<<16)}
	if format == "csv" && layer.Geometry == scheduler.GeometryPoint {
		c.columns = append(c.columns, "lon", "lat")
	}
	for i := range layer.Fields {
		c.columns = append(c.columns, cityColumn(&layer.Fields[i]))
	}
	c.values = make([]any, 0, len(c.columns))
	if format == "csv" {
		c.header = 1
		c.csv = file.NewCSVWriter(c.buf, c.columns)
	} else {
		c.geojson = file.NewGeoJSONWriter(c.buf)
	}
	return c, nil
}

// cityColumn names a column for its field and its unit, as import reads it
// without a mapping: dbh_cm, height_m, speed_kmh.
func cityColumn(f *scheduler.Field) string {
	if f.Kind == scheduler.FieldLength {
		return baseName(f.Name) + "_" + f.Unit
	}
	return f.Name
}

func (c *cityFile) write(row *scheduler.Row) error {
	v := c.values[:0]
	if c.csv != nil && c.layer.Geometry == scheduler.GeometryPoint {
		p := row.Shape.Points()[0]
		v = append(v, degrees(p.X), degrees(p.Y))
	}
	for i, value := range row.Values {
		if l, ok := value.(geo.Length); ok {
			value = math.Round(float64(l)/lengthUnits[c.layer.Fields[i].Unit]*1000) / 1000
		}
		v = append(v, value)
	}
	if c.csv != nil {
		return c.csv.Write(v)
	}
	return c.geojson.Write(c.columns, v, row.Shape)
}

// degrees rounds to about a centimetre.
func degrees(d float64) float64 { return math.Round(d*1e7) / 1e7 }

func (c *cityFile) close() error {
	var err error
	if c.csv != nil {
		err = c.csv.Close()
	} else {
		err = c.geojson.Close()
	}
	if err = errors.Join(err, c.buf.Flush(), c.f.Close()); err != nil {
		return fmt.Errorf("write %s: %w", c.layer.Name, err)
	}
	return nil
}

// faultList writes the planted faults with the line each stands on.
func (w *cityWriter) faultList() (err error) {
	path := filepath.Join(w.q.Out, "faults.csv")
	f, err := os.Create(path)
	if err != nil {
		return scheduler.Wrap(scheduler.Invalid, "write "+path, err)
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	list := file.NewCSVWriter(f, []string{"layer", "line", "ref", "field", "value", "kind", "expect"})
	for _, p := range w.faults {
		if err := list.Write([]any{p.Layer, p.line, p.Ref, p.Field, p.Value, p.Kind, string(p.Expect)}); err != nil {
			return err
		}
	}
	w.out.Files = append(w.out.Files, filepath.Base(path))
	w.out.Counts["faults"] = int64(len(w.faults))
	return list.Close()
}
