//go:build unix

package pdf

import (
	"os/exec"
	"syscall"
)

// ownGroup puts the child into a process group of its own.
func ownGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// killGroup kills the child and whatever it started.
func killGroup(cmd *exec.Cmd) {
	if cmd.ProcessState != nil {
		return // waited for: the number may belong to somebody else by now
	}
	_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) // it may be gone already
	_ = cmd.Process.Kill()
}
