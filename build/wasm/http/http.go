// Package http stands in for net/http in the browser program. The engine of the
// screens names that package for a server of its own, which does not run in a
// browser, and so its whole client, with every cipher, came along. This has
// what the engine names, and does nothing.
package http

import (
	"errors"
	"io"
	"net/url"
)

// Header is the fields of a request or response.
type Header map[string][]string

// Get gives the first value of a field.
func (h Header) Get(key string) string {
	if v := h[key]; len(v) > 0 {
		return v[0]
	}
	return ""
}

// Set replaces a field.
func (h Header) Set(key, value string) { h[key] = []string{value} }

// ResponseWriter is where an answer would go.
type ResponseWriter interface {
	Header() Header
	Write([]byte) (int, error)
	WriteHeader(int)
}

// Handler would answer a request.
type Handler interface {
	ServeHTTP(ResponseWriter, *Request)
}

// Request is one that never comes.
type Request struct {
	Method, Host string
	URL          *url.URL
	Header       Header
	TLS          *struct{}
}

// Response is one that never comes.
type Response struct {
	StatusCode int
	Header     Header
	Body       io.ReadCloser
}

// Client asks for nothing.
type Client struct{}

// DefaultClient asks for nothing.
var DefaultClient = &Client{}

var errNone = errors.New("this program asks for nothing but through the browser")

// Do fails.
func (*Client) Do(*Request) (*Response, error) { return nil, errNone }

// Get fails.
func Get(string) (*Response, error) { return nil, errNone }

// NewRequest fails.
func NewRequest(method, address string, body io.Reader) (*Request, error) { return nil, errNone }

// Dir is a folder that is not there.
type Dir string

// FileServer serves nothing.
func FileServer(Dir) Handler { return none{} }

// NotFound answers nothing.
func NotFound(ResponseWriter, *Request) {}

type none struct{}

func (none) ServeHTTP(ResponseWriter, *Request) {}

// What the engine names of the protocol.
const (
	MethodGet                 = "GET"
	StatusOK                  = 200
	StatusNotModified         = 304
	StatusNotFound            = 404
	StatusInternalServerError = 500
)
