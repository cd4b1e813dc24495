package api

import (
	"context"
	"encoding/xml"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// The office suite is LibreOffice, without a screen, with a profile of its own
// for each test: external links are followed, and a macro opens a file, refreshes
// what is linked, recalculates everything, and stores it as flat XML (OpenDocument
// 1.3), which is read back here.

// officeSettings follow links of files in a trusted directory without asking, recalculate what is opened, and
// keep the suite from putting its own empty library in the place of the macro.
const officeSettings = `<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Office.Calc/Content/Update"><prop oor:name="Link" oor:op="fuse"><value>0</value></prop></item>
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="ODFRecalcMode" oor:op="fuse"><value>0</value></prop></item>
<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
<item oor:path="/org.openoffice.Office.Common/Security/Scripting"><prop oor:name="SecureURL" oor:op="fuse"><value><it>file://DIRECTORY</it></value></prop></item>
<item oor:path="/org.openoffice.Setup/Office"><prop oor:name="ooSetupInstCompleted" oor:op="fuse"><value>true</value></prop></item>
</oor:items>
`

const officeLibraries = `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:libraries PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "libraries.dtd">
<library:libraries xmlns:library="http://openoffice.org/2000/library" xmlns:xlink="http://www.w3.org/1999/xlink">
<library:library library:name="Standard" xlink:href="$(USER)/basic/Standard/script.xlb/" xlink:type="simple" library:link="false"/>
</library:libraries>
`

const officeLibrary = `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard" library:readonly="false" library:passwordprotected="false">
<library:element library:name="Sheets"/>
</library:library>
`

// officeMacro takes the URLs of the file and of what it becomes. UpdateDocMode 3
// is com.sun.star.document.UpdateDocMode.FULL_UPDATE.
const officeMacro = `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Sheets" script:language="StarBasic">
Sub Recalculate(file As String, result As String)
  Dim how(1) As New com.sun.star.beans.PropertyValue
  how(0).Name = "Hidden" : how(0).Value = True
  how(1).Name = "UpdateDocMode" : how(1).Value = 3
  book = StarDesktop.loadComponentFromURL(file, "_blank", 0, how())
  links = book.SheetLinks
  For i = 0 To links.Count - 1
    links.getByIndex(i).refresh()
  Next
  book.calculateAll()
  Dim flat(0) As New com.sun.star.beans.PropertyValue
  flat(0).Name = "FilterName" : flat(0).Value = "OpenDocument Spreadsheet Flat XML"
  book.storeToURL(result, flat())
  book.close(True)
End Sub
</script:module>
`

// recalculated opens a spreadsheet file in the office suite, recalculates it, and
// gives the cells of its sheets.
func recalculated(t *testing.T, file string) map[string][][]officeCell {
	t.Helper()
	soffice, err := exec.LookPath("soffice")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("soffice is not installed: apt-get install libreoffice-calc")
		}
		t.Skip("soffice is not installed: no office suite to try the spreadsheet in (apt-get install libreoffice-calc)")
	}
	file, err = filepath.Abs(file)
	require.NoError(t, err)
	profile := t.TempDir()
	settings := strings.ReplaceAll(officeSettings, "DIRECTORY", filepath.Dir(file))
	basic := filepath.Join(profile, "user", "basic", "Standard")
	require.NoError(t, os.MkdirAll(basic, 0o700))
	for name, text := range map[string]string{
		"../../registrymodifications.xcu": settings, "../script.xlc": officeLibraries, "script.xlb": officeLibrary, "Sheets.xba": officeMacro,
	} {
		require.NoError(t, os.WriteFile(filepath.Join(basic, name), []byte(text), 0o600))
	}
	result := filepath.Join(profile, "result.fods")
	ctx, cancel := context.WithTimeout(t.Context(), 2*time.Minute)
	defer cancel()
	command := exec.CommandContext(ctx, soffice, "-env:UserInstallation=file://"+profile, "--headless", "--norestore",
		`macro:///Standard.Sheets.Recalculate("file://`+file+`","file://`+result+`")`)
	out, err := command.CombinedOutput()
	require.NoError(t, err, string(out))
	text, err := os.ReadFile(result)
	require.NoError(t, err, "the office suite has stored nothing: %s", out)
	return readOffice(t, text)
}

// officeCell is a cell as the office suite calculated it.
type officeCell struct {
	Formula string
	Number  float64
	IsText  bool
	Error   bool // the formula failed
	Text    string
}

// readOffice reads the sheets of a flat OpenDocument spreadsheet.
func readOffice(t *testing.T, text []byte) map[string][][]officeCell {
	t.Helper()
	var document struct {
		Tables []struct {
			Name string `xml:"name,attr"`
			Rows []struct {
				Repeated string `xml:"number-rows-repeated,attr"`
				Cells    []struct {
					Attributes []xml.Attr `xml:",any,attr"`
					Paragraphs []string   `xml:"p"`
				} `xml:"table-cell"`
			} `xml:"table-row"`
		} `xml:"body>spreadsheet>table"`
	}
	require.NoError(t, xml.Unmarshal(text, &document))
	const most = 20_000 // rows and columns: the empty rest of a sheet is one repeated cell
	sheets := map[string][][]officeCell{}
	for _, table := range document.Tables {
		var rows [][]officeCell
		for _, row := range table.Rows {
			var line []officeCell
			for _, c := range row.Cells {
				cell, repeated := officeCell{Text: strings.Join(c.Paragraphs, "\n")}, 1
				for _, a := range c.Attributes {
					switch a.Name.Local {
					case "formula":
						cell.Formula = a.Value
					case "value":
						x, err := strconv.ParseFloat(a.Value, 64)
						require.NoError(t, err)
						cell.Number = x
					case "boolean-value":
						if a.Value == "true" {
							cell.Number = 1
						}
					case "value-type":
						cell.IsText = cell.IsText || a.Value == "string"
						cell.Error = cell.Error || a.Value == "error"
					case "number-columns-repeated":
						n, err := strconv.Atoi(a.Value)
						require.NoError(t, err)
						repeated = n
					}
				}
				for range min(repeated, 64) {
					line = append(line, cell)
				}
			}
			repeated := 1
			if row.Repeated != "" {
				n, err := strconv.Atoi(row.Repeated)
				require.NoError(t, err)
				repeated = n
			}
			for range repeated {
				if len(rows) == most {
					break
				}
				rows = append(rows, line)
			}
		}
		sheets[table.Name] = rows
	}
	return sheets
}
