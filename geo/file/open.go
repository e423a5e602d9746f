package file

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
)

// format is a kind of file this package reads.
type format string

const (
	formatCSV     format = "csv"
	formatGeoJSON format = "geojson"
	formatPBF     format = "osm.pbf"
	formatOSM     format = "osm"
)

// Open opens a file for reading. The format comes from the file's first bytes
// when they are telling, else from the extension (.csv, .txt, .tsv, .json,
// .geojson, .geojsonl, .geojsons, .ndjson, .pbf, .osm).
func Open(path string, o Options) (Reader, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("open file: %w", err)
	}
	info, err := f.Stat()
	if err == nil && info.IsDir() {
		err = errors.New("it is a directory")
	}
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open file %s: %w", path, err), f.Close())
	}
	c := &counter{r: f}
	buf := bufio.NewReaderSize(c, 1<<18)
	head, err := buf.Peek(4096)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, errors.Join(fmt.Errorf("read file %s: %w", path, err), f.Close())
	}
	src := source{buf: buf, count: c, total: info.Size(), close: f.Close}
	var r Reader
	switch kind, sniffErr := sniff(path, head); {
	case sniffErr != nil:
		err = sniffErr
	case kind == formatCSV:
		r, err = newCSVReader(src, o)
	case kind == formatGeoJSON:
		r, err = newGeoJSONReader(src, o)
	default:
		r, err = newOSMReader(f, kind, o)
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, errors.Join(fmt.Errorf("read file %s: %w", filepath.Base(path), err), f.Close())
	}
	if r == nil {
		return nil, errors.Join(fmt.Errorf("read file %s: it is empty", filepath.Base(path)), f.Close())
	}
	return r, nil
}

// sniff decides the format: magic bytes first, the extension where text could
// be anything.
func sniff(path string, head []byte) (format, error) {
	ext := strings.ToLower(filepath.Ext(path))
	switch {
	case bytes.HasPrefix(head, []byte("PK\x03\x04")):
		return "", errors.New("it is a ZIP archive (or a spreadsheet); save the sheet as CSV, or unpack it first")
	case bytes.HasPrefix(head, []byte("SQLite format 3")):
		return "", errors.New("it is a GeoPackage or another SQLite file; convert it to GeoJSON first")
	case bytes.HasPrefix(head, []byte{0x1f, 0x8b}), bytes.HasPrefix(head, []byte("BZh")):
		return "", errors.New("it is compressed; unpack it first")
	case len(head) > 15 && bytes.Contains(head[:15], []byte("OSMHeader")):
		return formatPBF, nil
	}
	text := bytes.TrimLeft(bytes.TrimPrefix(head, []byte(bom)), " \t\r\n\x1e")
	switch {
	case bytes.HasPrefix(text, []byte("<")) && bytes.Contains(text, []byte("<osm")):
		return formatOSM, nil
	case bytes.HasPrefix(text, []byte("<")):
		return "", errors.New("it is XML or HTML, not a table")
	case bytes.HasPrefix(text, []byte("{")), bytes.HasPrefix(text, []byte("[")):
		return formatGeoJSON, nil
	}
	switch ext {
	case ".json", ".geojson", ".geojsonl", ".geojsons", ".ndjson", ".jsonl":
		return formatGeoJSON, nil
	case ".pbf", ".osm":
		return "", fmt.Errorf("the extension is %s, but the content is not OpenStreetMap data", ext)
	}
	return formatCSV, nil
}

const bom = "\ufeff"

// source is an opened file with what Progress needs.
type source struct {
	buf   *bufio.Reader
	count *counter
	total int64
	close func() error
}

// Progress is bytes read and the size of the file.
func (s source) Progress() (done, total int64) { return s.count.n.Load(), s.total }

// Close closes the file.
func (s source) Close() error { return s.close() }

// counter counts bytes; another goroutine may ask for the count.
type counter struct {
	r io.Reader
	n atomic.Int64
}

func (c *counter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.n.Add(int64(n))
	return n, err
}
