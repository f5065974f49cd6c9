"""Figures drawn from results: pure functions, Plotly JSON out, nothing read or written.

A figure is a plain ``{"data": [...], "layout": {...}}``; the page draws it and puts its own
ink and paper in the place of the colours named in `ribstitch.charts.paper`.
"""
