//go:build go1.28

package release

const _ int = "this Go release is newer than the kernel knows: build by make, which takes one that it knows, or with GOTOOLCHAIN=go1.26.8 set; docs/ADDING_A_GO_RELEASE.md says how to add it"
