#!/usr/bin/env python3
"""An editor's YAML support with our schema: it completes keys and words, and marks a wrong
key.  The language server comes from the npm registry (tests/node) and is spoken to as an
editor does, by the language server protocol over its standard streams."""
import json
import os
import subprocess
import sys
import tempfile

os.chdir(os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", ".."))
SERVER = ".build/node/node_modules/yaml-language-server/bin/yaml-language-server"
START = """# yaml-language-server: $schema={schema}
protocol: evening-trigger
injections:
  - name: trigger
    """


class Editor:
    def __init__(self):
        self.server = subprocess.Popen(["node", SERVER, "--stdio"], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
        self.number, self.seen = 0, []
        self.ask("initialize", {"processId": None, "rootUri": None, "capabilities": {}})
        self.tell("initialized", {})

    def send(self, message):
        data = json.dumps({"jsonrpc": "2.0", **message}).encode()
        self.server.stdin.write(b"Content-Length: %d\r\n\r\n" % len(data) + data)
        self.server.stdin.flush()

    def read(self):
        length = 0
        while (line := self.server.stdout.readline().strip()):
            if line.lower().startswith(b"content-length:"):
                length = int(line.split(b":")[1])
        return json.loads(self.server.stdout.read(length))

    def tell(self, method, parameters):
        self.send({"method": method, "params": parameters})

    def ask(self, method, parameters):
        self.number += 1
        self.send({"id": self.number, "method": method, "params": parameters})
        return self.wait(lambda m: m.get("id") == self.number and "method" not in m)["result"]

    def wait(self, wanted):
        while True:
            message = self.read()
            if "id" in message and "method" in message:  # the server asks us: answer with nothing
                items = message.get("params", {}).get("items", [])
                self.send({"id": message["id"], "result": [{} for _ in items]})
                continue
            if wanted(message):
                return message

    def open(self, uri, text):
        self.tell("textDocument/didOpen", {"textDocument": {"uri": uri, "languageId": "yaml", "version": 1, "text": text}})

    def complete(self, uri, text):
        lines = text.split("\n")
        place = {"line": len(lines) - 1, "character": len(lines[-1])}
        found = self.ask("textDocument/completion", {"textDocument": {"uri": uri}, "position": place})
        return {item["label"] for item in (found["items"] if isinstance(found, dict) else found)}


faults = []
with tempfile.TemporaryDirectory() as scratch:
    schema = os.path.join(scratch, "protocol.schema.json")
    with open(schema, "wb") as file:
        file.write(subprocess.run([".build/dosewright", "schema", "protocol"], capture_output=True).stdout)
    start = START.format(schema="file://" + schema)
    editor = Editor()
    for name, text, wanted in (("keys", start, {"medicine", "dose", "window", "late"}),
                               ("words", start + "site: ", {"ventrogluteal", "deltoid", "abdomen"}),
                               ("anchors", start.split("injections")[0] + "anchor: ", {"egg collection", "transfer"})):
        uri = f"file://{scratch}/{name}.yaml"
        editor.open(uri, text)
        found = editor.complete(uri, text)
        if not wanted <= found:
            faults.append(f"{name}: {sorted(found)[:20]} lack {sorted(wanted - found)}")
    uri = f"file://{scratch}/wrong.yaml"
    editor.open(uri, start + "sit: ventrogluteal\n")
    marks = editor.wait(lambda m: m.get("method") == "textDocument/publishDiagnostics" and m["params"]["uri"] == uri and
                        m["params"]["diagnostics"])
    if not any("sit" in mark["message"] for mark in marks["params"]["diagnostics"]):
        faults.append(f"wrong key: {[mark['message'] for mark in marks['params']['diagnostics']]}")
    editor.server.kill()
print("\n".join(faults))
print(f"{4 - len(faults)} passed, {len(faults)} failed")
sys.exit(1 if faults else 0)
