package dbtest

import (
	"context"
	"sync"
	"testing"
)

// Hold runs a statement in a transaction of its own and keeps that open, with
// the locks that the statement took, until release is called or the test ends.
// Nothing of it is kept.
func Hold(t testing.TB, url, sql string, args ...any) (release func()) {
	t.Helper()
	c := connect(t, url)
	release = sync.OnceFunc(func() { _ = c.Close(context.Background()) }) // closing frees the locks
	t.Cleanup(release)
	query(t, c, "BEGIN")
	query(t, c, sql, args...)
	return release
}
