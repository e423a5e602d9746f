// Package web holds the desks' pages and what they load: templates and styles,
// embedded in the program, so that a desk needs no network but its own server.
package web

import "embed"

// Pages are the page templates, each built on layout.html.
//
//go:embed page/*.html
var Pages embed.FS

// Static is what the pages load, served under /static/.
//
//go:embed static/*
var Static embed.FS
