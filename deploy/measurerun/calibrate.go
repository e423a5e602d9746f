package main

import (
	"crypto/sha256"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"
)

// calibrate describes the machine: what it is, how fast one core hashes, and how
// fast the disk of the working directory takes small and large writes for good.
func calibrate(dir string) string {
	block := make([]byte, 1<<20)
	began := time.Now()
	h := sha256.New()
	for range 512 {
		h.Write(block)
	}
	hash := 512 / time.Since(began).Seconds()
	syncs, mb := diskSpeed(dir, block)
	return fmt.Sprintf("machine: %d cores, %s, %s memory; SHA-256 %.0f MiB/s on one core; disk %.0f syncs/s of 8 KiB, %.0f MiB/s written and synced; load before the run %s",
		runtime.NumCPU(), cpuName(), memory(), hash, syncs, mb, load())
}

func diskSpeed(dir string, block []byte) (syncs, mb float64) {
	f, err := os.Create(filepath.Join(dir, "calibrate"))
	if err != nil {
		return 0, 0
	}
	defer os.Remove(f.Name())
	defer f.Close()
	began := time.Now()
	const small, large = 100, 256
	for range small {
		if _, err := f.Write(block[:8192]); err != nil || f.Sync() != nil {
			return 0, 0
		}
	}
	syncs = small / time.Since(began).Seconds()
	began = time.Now()
	for range large {
		if _, err := f.Write(block); err != nil {
			return syncs, 0
		}
	}
	if f.Sync() != nil {
		return syncs, 0
	}
	return syncs, large / time.Since(began).Seconds()
}

func cpuName() string {
	text, _ := os.ReadFile("/proc/cpuinfo")
	name := fields(string(text))["model name"] // of the last core
	if name == "" {
		return runtime.GOARCH
	}
	return name
}

func memory() string {
	text, _ := os.ReadFile("/proc/meminfo")
	return fields(string(text))["MemTotal"]
}

func load() string {
	text, _ := os.ReadFile("/proc/loadavg")
	one, _, _ := strings.Cut(string(text), " ")
	return one
}
