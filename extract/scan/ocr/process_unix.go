//go:build unix

package ocr

import (
	"os/exec"
	"syscall"
)

// ownGroup puts the child into a process group of its own.
func ownGroup(cmd *exec.Cmd) { cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true} }

// killGroup kills the child and whatever it started.
func killGroup(cmd *exec.Cmd) {
	if cmd.Process.Signal(syscall.Signal(0)) != nil {
		return // waited for: the number may belong to somebody else by now
	}
	_ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) // it may be gone already
	_ = cmd.Process.Kill()
}

// killRest kills what a child that has ended left running; it is called only when
// something of its group is known to live, so that the number is still theirs.
func killRest(cmd *exec.Cmd) { _ = syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) }
