package main

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"time"
)

// watcher samples the memory that the processes of one database server hold for
// themselves, without what they share.
type watcher struct{ postmaster int }

const sampleEvery = 100 * time.Millisecond

// start begins to watch; the returned function ends it and answers the largest sum seen.
func (w *watcher) start() (stop func() int64) {
	if w == nil {
		return func() int64 { return 0 }
	}
	done, most := make(chan struct{}), make(chan int64)
	go func() {
		var top int64
		tick := time.NewTicker(sampleEvery)
		defer tick.Stop()
		for {
			top = max(top, w.now())
			select {
			case <-done:
				most <- top
				return
			case <-tick.C:
			}
		}
	}()
	return func() int64 {
		close(done)
		return <-most
	}
}

func (w *watcher) now() int64 {
	list, _ := filepath.Glob("/proc/[0-9]*/status") // a process that ends meanwhile counts nothing
	var sum int64
	for _, name := range list {
		text, err := os.ReadFile(name)
		if err != nil {
			continue
		}
		f := fields(string(text))
		pid, _ := strconv.Atoi(f["Pid"])
		parent, _ := strconv.Atoi(f["PPid"])
		if pid != w.postmaster && parent != w.postmaster {
			continue
		}
		kb, _ := strconv.ParseInt(strings.TrimSuffix(f["RssAnon"], " kB"), 10, 64)
		sum += kb << 10
	}
	return sum
}

func fields(text string) map[string]string {
	m := map[string]string{}
	for line := range strings.Lines(text) {
		if k, v, ok := strings.Cut(line, ":"); ok {
			m[strings.TrimSpace(k)] = strings.TrimSpace(v)
		}
	}
	return m
}
