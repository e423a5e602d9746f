//go:build linux

package db

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"syscall"
)

// checkSpace looks at the disk of the nearest directory that exists.
func checkSpace(dir string) Check {
	for {
		if _, err := os.Stat(dir); err == nil || dir == filepath.Dir(dir) {
			break
		}
		dir = filepath.Dir(dir)
	}
	var fs syscall.Statfs_t
	if err := syscall.Statfs(dir, &fs); err != nil {
		return finding("disk space", "", err)
	}
	free := fs.Bavail * uint64(fs.Bsize)
	c := finding("disk space", fmt.Sprintf("%.1f GB free on %s", float64(free)/1e9, dir), nil)
	if free < leastFree {
		c.OK, c.Hint = false, fmt.Sprintf("free at least %.0f GB", leastFree/1e9)
	}
	return c
}

func diskFull(err error) bool {
	return errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EDQUOT)
}
