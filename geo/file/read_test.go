package file

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"
)

// write puts text into a file of the given name and returns its path.
func write(t testing.TB, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// all reads a file to its end.
func all(t testing.TB, path string, o Options) ([]Feature, error) {
	t.Helper()
	r, err := Open(path, o)
	if err != nil {
		return nil, err
	}
	defer func() {
		if err := r.Close(); err != nil {
			t.Error(err)
		}
	}()
	var out []Feature
	for {
		f, err := r.Next()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return out, err
		}
		out = append(out, f)
	}
}

func mustAll(t testing.TB, path string, o Options) []Feature {
	t.Helper()
	fs, err := all(t, path, o)
	if err != nil {
		t.Fatal(err)
	}
	return fs
}
