//go:build !js

// Package shell holds the files around the browser program: the page that
// carries it, the scripts that start it and keep it offline, the base style
// and the icons. It is native only; its files would swell the program.
package shell

import (
	_ "embed"
	"slices"
)

// Boot starts the program in the page.
//
//go:embed boot.js
var Boot []byte

var (
	//go:embed keep.js
	keepJS []byte
	//go:embed pad.js
	padJS []byte
)

// Keep stores an open case, and kept ones, encrypted on the device; behind it
// stands what takes a signature that is drawn.
var Keep = slices.Concat(keepJS, padJS)

// Keys is the worker that keeps keys in files it can overwrite.
//
//go:embed keys.js
var Keys []byte

// Worker is the service worker with two places for the build to fill: the
// strings "@version@" and "@files@", quotes included.
//
//go:embed worker.js
var Worker []byte

var (
	//go:embed app.css
	baseCSS []byte
	//go:embed screen.css
	screenCSS []byte
	//go:embed keep.css
	keepCSS []byte
	//go:embed sign.css
	signCSS []byte
	//go:embed take.css
	takeCSS []byte
)

// PartsCSS is the style of app/screens/parts.
//
//go:embed parts.css
var PartsCSS []byte

var (
	//go:embed dense.css
	denseCSS []byte
	//go:embed side.css
	sideCSS []byte
)

// CSS is the style of the page around the screens.
var CSS = baseCSS

// OldCSS is the style of the screens that are not rebuilt yet, NewCSS of those that are:
// built of app/screens/parts. A screen has one or the other.
var (
	OldCSS = slices.Concat(screenCSS, keepCSS, signCSS, takeCSS)
	NewCSS = slices.Concat(PartsCSS, denseCSS, sideCSS)
)

// Icons, drawn by build/icon. IconMask keeps the leaf inside the safe zone of
// maskable icons (a circle of 80 in 100 of the width, W3C manifest).
var (
	//go:embed icon.svg
	IconSVG []byte
	//go:embed icon-180.png
	Icon180 []byte
	//go:embed icon-192.png
	Icon192 []byte
	//go:embed icon-512.png
	Icon512 []byte
	//go:embed icon-mask.png
	IconMask []byte
)
