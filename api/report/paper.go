package report

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"codeberg.org/go-fonts/liberation/liberationsansbold"
	"codeberg.org/go-fonts/liberation/liberationsansregular"
	"codeberg.org/go-fonts/liberation/liberationserifbold"
	"codeberg.org/go-fonts/liberation/liberationserifitalic"
	"codeberg.org/go-fonts/liberation/liberationserifregular"
	"codeberg.org/go-pdf/fpdf"
)

// Paper is a size of paper.
type Paper string

// Sizes.
const (
	A4     Paper = "a4"
	Letter Paper = "letter"
)

// All lengths are in mm, type in points.
const (
	side     = 18.
	top      = 16.
	bottom   = 18.
	lineMm   = 4.6 // of text of 9.5 points
	bodyPt   = 9.5
	notePt   = 8.
	pointMm  = 25.4 / 72
	serif    = "serif"
	sans     = "sans"
	hairline = 0.15
	pages    = "{pages}" // stands for their number until it is known
)

type colour [3]int

// The colours are those of the page; banks, sources and darkness keep apart for
// the common kinds of colour blindness, and nothing is told by colour alone.
var (
	ink       = colour{0x1e, 0x1d, 0x1b}
	soft      = colour{0x63, 0x5f, 0x58}
	rule      = colour{0xd8, 0xd4, 0xca}
	white     = colour{0xff, 0xff, 0xff}
	dark      = colour{0xbf, 0x3a, 0x06}
	sun       = colour{0xe2, 0xa1, 0x00}
	fromBank  = colour{0x5a, 0xa9, 0xd8}
	generator = colour{0x77, 0x73, 0x6c}
	grid      = colour{0x4b, 0x2f, 0x72}
	spare     = colour{0xe9, 0xe3, 0xd3}
	limited   = colour{0x4b, 0x46, 0x3f}
	loss      = colour{0xa8, 0xa2, 0x95}
	ofBank    = []colour{{0x17, 0x59, 0x8a}, {0x8d, 0x35, 0x68}, {0x4c, 0x66, 0x1c}, {0x8a, 0x5a, 0x00}}
)

// letters name the banks on paper.
var letters = []string{"A", "B", "C", "D"}

// mixed is a colour thinned with the paper.
func (c colour) mixed(part float64) colour {
	var out colour
	for i := range c {
		out[i] = int(float64(c[i])*part + float64(white[i])*(1-part) + 0.5)
	}
	return out
}

// paper is the PDF while it is written, with a pen that goes down the page.
type paper struct {
	*Report
	pdf                  *fpdf.Fpdf
	width, height, inner float64
	y, begin             float64 // begin is the pen at the page's head
}

func newPaper(r *Report) *paper {
	size := "A4"
	if r.Paper == Letter {
		size = "Letter"
	}
	p := &paper{Report: r, pdf: fpdf.New("P", "mm", size, "")}
	d := p.pdf
	d.SetCatalogSort(true)
	d.SetCreationDate(epoch)
	d.SetModificationDate(epoch)
	d.SetTitle(r.title(), true)
	d.SetCreator(r.Engine, true)
	d.SetProducer(r.Engine, true)
	d.SetLang("en")
	d.SetMargins(side, top, side)
	d.SetCellMargin(0)
	d.SetAutoPageBreak(false, bottom)
	d.AddUTF8FontFromBytes(sans, "", liberationsansregular.TTF)
	d.AddUTF8FontFromBytes(sans, "B", liberationsansbold.TTF)
	d.AddUTF8FontFromBytes(serif, "", liberationserifregular.TTF)
	d.AddUTF8FontFromBytes(serif, "B", liberationserifbold.TTF)
	d.AddUTF8FontFromBytes(serif, "I", liberationserifitalic.TTF)
	d.AliasNbPages(pages)
	p.width, p.height = d.GetPageSize()
	p.inner = p.width - 2*side
	d.SetHeaderFunc(p.head)
	d.SetFooterFunc(p.foot)
	p.page()
	return p
}

// page begins a new one.
func (p *paper) page() {
	p.pdf.AddPage()
	p.y = top
	if p.pdf.PageNo() > 1 {
		p.y += 8
	}
	p.begin = p.y
}

func (p *paper) head() {
	if p.pdf.PageNo() == 1 {
		return
	}
	p.font(serif, "I", notePt, soft)
	p.put(side, top, p.title())
	p.putRight(p.width-side, top, words.report)
	p.line(side, top+3, p.width-side, top+3, rule, hairline)
}

func (p *paper) foot() {
	y := p.height - 10
	p.line(side, y-4, p.width-side, y-4, rule, hairline)
	p.font(sans, "", 7, soft)
	p.put(side, y, words.foot)
	// The number of pages is put in at the end: what is measured is as wide as that.
	p.put(p.width-side-p.pdf.GetStringWidth(strings.Replace(words.pageOf(p.pdf.PageNo()), pages, "00", 1)), y, words.pageOf(p.pdf.PageNo()))
}

// room begins a new page when less than a height is left on this one.
func (p *paper) room(height float64) {
	if p.y+height > p.height-bottom {
		p.page()
	}
}

func (p *paper) font(family, style string, points float64, c colour) {
	p.pdf.SetFont(family, style, points)
	p.pdf.SetTextColor(c[0], c[1], c[2])
}

// put writes on a base line; putRight ends there.
func (p *paper) put(x, y float64, text string) { p.pdf.Text(x, y, text) }

func (p *paper) putRight(x, y float64, text string) {
	p.pdf.Text(x-p.pdf.GetStringWidth(text), y, text)
}

func (p *paper) putMiddle(x, y float64, text string) {
	p.pdf.Text(x-p.pdf.GetStringWidth(text)/2, y, text)
}

func (p *paper) line(x1, y1, x2, y2 float64, c colour, width float64) {
	p.pdf.SetDrawColor(c[0], c[1], c[2])
	p.pdf.SetLineWidth(width)
	p.pdf.Line(x1, y1, x2, y2)
}

func (p *paper) fill(x, y, w, h float64, c colour) {
	p.pdf.SetFillColor(c[0], c[1], c[2])
	p.pdf.Rect(x, y, w, h, "F")
}

// heading begins a part; least is the room that must follow it.
func (p *paper) heading(text string, least float64) {
	p.room(14 + least)
	if p.y > p.begin {
		p.y += 3
		p.line(side, p.y, p.width-side, p.y, rule, 0.25)
		p.y += 4
	}
	p.font(serif, "B", 13, ink)
	p.y += 1.5
	p.put(side, p.y, text)
	p.y += 2
}

// part begins a part of the report, where little room is left on a new page.
func (p *paper) part(text string) {
	p.room(50)
	if p.y > p.begin {
		p.y += 5
		p.line(side, p.y, p.width-side, p.y, ink, 0.5)
		p.y += 5
	}
	p.font(serif, "B", 16, ink)
	p.y += 4
	p.put(side, p.y, text)
	p.y += 3
}

// paragraph writes text across the page or a part of it.
func (p *paper) paragraph(text string) { p.flow(side, p.inner, text, sans, "", bodyPt, ink, 1) }

func (p *paper) note(text string) { p.flow(side, p.inner, text, sans, "", notePt, soft, 0.6) }

// flow writes wrapped text and moves the pen below it; no line of several stands alone
// at the foot or the head of a page.
func (p *paper) flow(x, width float64, text, family, style string, points float64, c colour, after float64) {
	p.font(family, style, points, c)
	step := points * pointMm * 1.32
	lines := p.pdf.SplitText(text, width)
	for i, line := range lines {
		if i == 0 && len(lines) > 1 || i == len(lines)-2 {
			p.room(2 * step)
		} else {
			p.room(step)
		}
		p.font(family, style, points, c)
		p.y += step
		p.put(x, p.y, line)
	}
	p.y += after
}

// bullets writes a list.
func (p *paper) bullets(items []string) {
	for _, item := range items {
		p.font(sans, "", bodyPt, ink)
		p.room(2 * lineMm)
		p.put(side, p.y+bodyPt*pointMm*1.32, "•")
		p.flow(side+4, p.inner-4, item, sans, "", bodyPt, ink, 0.8)
	}
}

func sortedKeys[K cmp.Ordered, V any](m map[K]V) []K { return slices.Sorted(maps.Keys(m)) }
