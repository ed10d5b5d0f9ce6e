"""Turns weighted graphs into effective resistances with networkx, a general-purpose graph library.

Each line of standard input is a JSON object: "edges", a list of [node, node, siemens], and "pairs", a list of
[node, node]. For each pair its effective resistance in ohms is printed on a line of its own, in full digits.
"""

import json
import sys

import networkx

for line in sys.stdin:
    asked = json.loads(line)
    graph = networkx.Graph()
    for a, b, siemens in asked["edges"]:
        if graph.has_edge(a, b):
            graph[a][b]["siemens"] += siemens
        else:
            graph.add_edge(a, b, siemens=siemens)
    for a, b in asked["pairs"]:
        part = graph.subgraph(networkx.node_connected_component(graph, a))
        print(repr(float(networkx.resistance_distance(part, a, b, weight="siemens", invert_weight=False))))
