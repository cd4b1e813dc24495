package api

import (
	"archive/zip"
	"context"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"bankyear/api/media"
	"bankyear/api/tabular"
	"bankyear/sim/fault"
)

// A table of runs can be had in partitions: a ZIP of one Parquet file for each
// value of an axis, in a directory that is called after it, as readers of many
// files expect (the convention of Apache Hive):
//
//	bank.modules=2/runs.parquet
//	bank.modules=4/runs.parquet
//
// The axis is no column of the files. The table is read once for each value, so
// that no more than a row group of one file is held.

// mostPartitions is how many values an axis may have for it.
const mostPartitions = 256

// noValue is the directory of runs in which the axis has the base's own value.
const noValue = "__HIVE_DEFAULT_PARTITION__"

// runsPartitioned answers the runs of a study in partitions.
func (s *Service) runsPartitioned(r *http.Request, axis string, x *Study, id string, columns []tabular.Column) (*reply, *Problem) {
	if _, ok := media.Choose(field(r, "Accept"), media.Zip); !ok {
		return nil, notAcceptable.problem("Accept " + strconv.Quote(field(r, "Accept")) + " leaves none of " + media.Zip + ", which partitions come in.")
	}
	var paths []string
	for _, v := range x.varied {
		paths = append(paths, v.path)
	}
	if !slices.Contains(paths, axis) {
		return nil, badParameters(fault.Faults{{Pointer: "/partition", Value: axis, Allowed: strings.Join(paths, ", "), Message: "is not varied by the study"}})
	}
	all := x.Columns()
	by := []tabular.Column{all[tabular.Find(all, axis)]}
	var values []string
	rows := 0 // the study may go on while it is read
	for b, err := range s.desk().blocks(r.Context(), id, x, by, 0) {
		if err != nil {
			return nil, s.studyProblem(err)
		}
		for row := range b.Rows {
			if v := partitionOf(b, row); !slices.Contains(values, v) {
				values = append(values, v)
			}
		}
		if rows += b.Rows; len(values) > mostPartitions {
			return nil, badParameters(fault.Faults{{Pointer: "/partition", Value: axis, Allowed: "an axis with at most " + strconv.Itoa(mostPartitions) + " values", Message: "has too many values"}})
		}
	}
	columns = slices.DeleteFunc(slices.Clone(columns), func(c tabular.Column) bool { return c.Name == axis })
	out := &reply{mediaType: media.Zip, filename: id + ".zip"}
	out.stream = func(to *streamed) error {
		z := zip.NewWriter(to)
		for _, value := range values {
			// Stored as it is: Parquet is compressed already.
			w, err := z.CreateHeader(&zip.FileHeader{Name: axis + "=" + url.PathEscape(value) + "/runs.parquet", Method: zip.Store, Modified: zipEpoch})
			if err != nil {
				return err
			}
			file := tabular.NewParquet(w, columns, x.Metadata(id))
			if err := s.writePartition(r.Context(), file, id, x, columns, by[0], value, rows); err != nil {
				return err
			}
			if err := file.Close(); err != nil {
				return err
			}
		}
		return z.Close()
	}
	return out, nil
}

// zipEpoch is the first date that a ZIP file can state (APPNOTE 4.4.6: years from 1980, and
// there is no day or month 0): the same study has the same bytes.
var zipEpoch = time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)

// writePartition writes the runs with a value among the first rows.
func (s *Service) writePartition(ctx context.Context, to *tabular.Parquet, id string, x *Study, columns []tabular.Column, axis tabular.Column, value string, rows int) error {
	for b, err := range s.desk().blocks(ctx, id, x, append(slices.Clone(columns), axis), 0) {
		if err != nil {
			return err
		}
		var picked []int
		by := b.In([]tabular.Column{axis})
		for row := range min(b.Rows, rows) {
			if partitionOf(by, row) == value {
				picked = append(picked, row)
			}
		}
		if err := to.Write(b.Pick(picked).In(columns)); err != nil {
			return err
		}
		if rows -= b.Rows; rows <= 0 {
			break
		}
	}
	return nil
}

// partitionOf is the value of the first column in a row, as a directory is called.
func partitionOf(b *tabular.Block, row int) string {
	if b.Columns[0].Kind == tabular.Text {
		if text := b.Texts[0][row]; text != "" {
			return text
		}
		return noValue
	}
	if x := b.Numbers[0][row]; !math.IsNaN(x) {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	return noValue
}
