package api

import (
	"context"
	"net/url"
	"strconv"
)

// Paging is embedded in the input of a list. No list is cut silently: it says
// how many match, how many it returns, and where the rest begins.
type Paging struct {
	Limit int   `query:"limit" minimum:"1" maximum:"10000" default:"100" doc:"Rows to return, at most"`
	After int64 `query:"after" minimum:"0" doc:"Return rows after this id; taken from the next link"`
}

// list is the body of a page of rows.
type list[T any] struct {
	Items    []T    `json:"items"`
	Matched  int    `json:"numberMatched" doc:"Rows that match in all"`
	Returned int    `json:"numberReturned" doc:"Rows in this page"`
	Next     string `json:"next,omitempty" doc:"Address of the next page; absent on the last"`
}

// pageOf makes the body. The next link keeps every parameter of the request
// and begins after the last row's id.
func pageOf[T any](ctx context.Context, items []T, matched int, p Paging, id func(*T) int64) list[T] {
	l := list[T]{Items: items, Matched: matched, Returned: len(items)}
	if items == nil {
		l.Items = []T{}
	}
	if n := len(items); n > 0 && n == p.Limit {
		l.Next = nextLink(ctx, id(&items[n-1]))
	}
	return l
}

type urlKey struct{}

func nextLink(ctx context.Context, after int64) string {
	u, ok := ctx.Value(urlKey{}).(*url.URL)
	if !ok {
		return ""
	}
	q := u.Query()
	q.Set("after", strconv.FormatInt(after, 10))
	return u.Path + "?" + q.Encode()
}
