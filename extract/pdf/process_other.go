//go:build !unix

package pdf

import "os/exec"

func ownGroup(*exec.Cmd) {}

// killGroup kills the child; the worker starts no process of its own.
func killGroup(cmd *exec.Cmd) { _ = cmd.Process.Kill() }
