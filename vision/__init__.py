"""Tapewitness: a photo of an opening held against the tape that measured it.

In the order in which data flows:

photo/       bytes -> Photo: decoding, metadata, quality
geometry/    Photo -> Opening: cards, edges, one joint adjustment, sizes with their covariance
tape/        text -> readings with their covariance
judge/       photo against tape: verdicts, explanations, ready or hold
report/      pictures and the report as data
check        the one door: strings the stages together
gaussian     the record in which both witnesses testify
units, settings, errors   shared by all
"""
