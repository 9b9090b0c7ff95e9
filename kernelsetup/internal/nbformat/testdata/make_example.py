"""Writes example.ipynb with Jupyter's own nbformat package."""
import nbformat
from nbformat.v4 import new_code_cell, new_markdown_cell, new_notebook, new_output, nbbase

nb = new_notebook(metadata={
    "kernelspec": {"name": "bonnetbook", "display_name": "Go (Bonnetbook)", "language": "go"},
    "unknown": {"kept": [1, 2.5, {"a": None}]}})
nb.cells = [
    new_markdown_cell("# Title with <b> & ü\n\ntext $a_b$"),
    new_code_cell('threshold := 3.5\nname := "a"', metadata={"tags": ["parameters"]}),
    new_code_cell("fmt.Println(1)\n1+1", execution_count=3, outputs=[
        new_output("stream", name="stdout", text="1\ntwo <3>\n"),
        new_output("execute_result", execution_count=3, data={
            "text/plain": "2", "application/json": {"x": [1, 2]}, "image/png": "iVBORw0KGgo="}),
        new_output("display_data", data={"text/html": "<p>\n</p>", "image/svg+xml": "<svg>\n</svg>"},
                   metadata={"image/png": {"width": 3}}),
        new_output("error", ename="panic", evalue="boom", traceback=["a", "b"])]),
    nbbase.NotebookNode(cell_type="raw", metadata=nbbase.NotebookNode(), source="raw", id="x"),
    new_code_cell("panic(1)", metadata={"tags": ["raises-exception", "x"], "collapsed": True})]
for i, c in enumerate(nb.cells):
    c["id"] = "cell-%d" % i
nb.cells[0]["attachments"] = {"p.png": {"image/png": "iVBORw0KGgo="}}
nbformat.validate(nb)
nbformat.write(nb, "example.ipynb")
