package scheduler

import (
	"encoding/binary"
	"hash/fnv"
)

// Content appends everything that a person would see change in the visit to
// buf: not its number, its edit counter, nor the day and the policy version it was computed under, so
// that the same visit found again on the next night has the same content.
func (v *Visit) Content(buf []byte) []byte {
	buf = text(buf, string(v.Kind))
	buf = binary.LittleEndian.AppendUint16(buf, uint16(len(v.Kinds)))
	for _, k := range v.Kinds {
		buf = text(buf, string(k))
	}
	for _, d := range [...]Date{v.Window.Earliest, v.Window.Due, v.Window.Latest, v.ClosedTo, v.HoldUntil} {
		buf = binary.LittleEndian.AppendUint32(buf, uint32(d))
	}
	for _, n := range [...]int{v.Class, v.Score, v.Minutes, v.ChipsL, v.Dose} {
		buf = binary.LittleEndian.AppendUint64(buf, uint64(n))
	}
	for _, s := range [...]string{v.Season, string(v.State), v.Hold, string(v.Skill), string(v.Origin)} {
		buf = text(buf, s)
	}
	for _, list := range [...][]string{v.Objectives, v.Limits, v.Cautions} {
		buf = binary.LittleEndian.AppendUint16(buf, uint16(len(list)))
		for _, s := range list {
			buf = text(buf, s)
		}
	}
	for i := range v.Reasons {
		buf = text(buf, v.Reasons[i].Rule)
		buf = text(buf, v.Reasons[i].Text)
		buf = text(buf, v.Reasons[i].Source)
	}
	return buf
}

// text appends a string with its length before it, so that no two lists of
// strings have the same bytes.
func text(buf []byte, s string) []byte {
	buf = binary.LittleEndian.AppendUint32(buf, uint32(len(s)))
	return append(buf, s...)
}

// Digest is the 64-bit FNV-1a hash of the visit's content; buf is scratch space.
func (v *Visit) Digest(buf *[]byte) int64 {
	*buf = v.Content((*buf)[:0])
	h := fnv.New64a()
	h.Write(*buf)
	return int64(h.Sum64())
}
