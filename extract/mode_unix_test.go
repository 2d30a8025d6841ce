//go:build unix

package extract

import (
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"testing"
)

// Files and folders get the mode that the person's own mask gives.
func TestModes(t *testing.T) {
	for mask, want := range map[int][2]fs.FileMode{0o022: {0o644, 0o755}, 0o002: {0o664, 0o775}, 0o077: {0o600, 0o700}} {
		old := syscall.Umask(mask)
		dir := madeStudy(t)
		s := open(t, dir)
		add(t, s, "text", polarRows())
		release, err := s.Lock()
		if err != nil {
			t.Fatal(err)
		}
		release()
		syscall.Umask(old)
		err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			info, err := d.Info()
			if err != nil {
				return err
			}
			mode := want[0]
			if d.IsDir() {
				mode = want[1]
			}
			if info.Mode().Perm() != mode {
				t.Errorf("mask %03o: %s has mode %s, want %s", mask, d.Name(), info.Mode().Perm(), mode)
			}
			return nil
		})
		if err != nil {
			t.Error(err)
		}
		_ = os.Remove(filepath.Join(dir, ".lock"))
	}
}
