"""The Redis lists by which a job of the workshop and its test talk."""

HERE, GO_ON = "here", "go on"
