"""Small drawings of our own: safety signs, marks, codes of addresses, a vessel's plate.

The signs that a person meets are a closed list, data/signs.toml, each with its meaning and source.

A warning is a yellow triangle, a prohibition a red ring with a bar over the symbol, what must be
done a blue disc, a safe condition a green square, fire equipment a red square [SIGN-SHAPES], a
hazard of a substance a square on its point with a red frame [CLP-LABEL]. The symbol is told
again by the words beside it.

Each is told by the words beside it and hidden from what reads a page aloud, or has a title
that is read instead where no words are there.

The lines of the plate are text, and the title says them once more, so that nothing is in the
picture alone; it has no outside part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from html import escape

from prepkit import blocks
from prepkit.errors import FileProblem
from prepkit.language import _

# ---- safety signs, drawn by us in the open standard shapes and colours ----

# ISO 3864-4 colours as tabled: RAL 1003, 2010, 3001, 5005; green and black of the same contrast
YELLOW, ORANGE, RED, BLUE = "#f9a800", "#d05d29", "#9b2423", "#005387"
GREEN, BLACK = "#00664f", "#15191b"
TRIANGLE_HEIGHT = 0.866  # of its base, which has three equal sides

# each in a square of 64, drawn with a pen of 5; small parts are filled with the pen's colour
SYMBOLS = {
    "acid": '<path d="M6 17l20-9 4 9-20 9z"/><path d="M41 17c5 7 7 10 7 14a7 7 0 0 1-14 0c0-4'
    ' 2-7 7-14z" fill="currentColor"/><path d="M6 58h13l4-9 5 5 5-8 5 8 5-5 5 9h10"/>',
    "aid": '<path d="M24 8h16v16h16v16H40v16H24V40H8V24h16z" fill="currentColor"/>',
    "air": '<path d="M20 6c-9 0-9 18 0 18s9-18 0-18zM32 18c1-5 8-5 8 0 0 4-7 6-8 10h9"'
    ' stroke-width="5"/><path d="M53 4v20M46 18l7 8 7-8"/>'
    '<circle cx="9" cy="50" r="6" fill="currentColor"/>'
    '<path d="M20 50h18l9 6h12M27 50l4 7" stroke-width="7"/>',
    "alarm": '<path d="M6 26v12h10l16 14V12L16 26z" fill="currentColor"/>'
    '<path d="M40 24a13 13 0 0 1 0 16M47 16a24 24 0 0 1 0 32"/>',
    "alcohol": '<path d="M6 10h30c1 12-4 20-15 20S5 22 6 10zM21 30v22M11 55h20"/>'
    '<path d="M8 17h26c-1 7-5 11-13 11S9 24 8 17z" fill="currentColor" stroke-width="2"/>'
    '<circle cx="45" cy="31" r="5.5" stroke-width="4.5"/>'
    '<circle cx="56" cy="49" r="5.5" stroke-width="4.5"/>'
    '<path d="M59 27L42 54" stroke-width="4.5"/>',
    "allergen": '<path d="M32 38V6" stroke-width="4"/><path d="M32 14c-6 0-8-3-8-7 5 0 8 3 8'
    " 7zM32 14c6 0 8-3 8-7-5 0-8 3-8 7zM32 24c-6 0-9-3-9-7 5 0 9 3 9 7zM32 24c6 0 9-3 9-7-5 0-9"
    ' 3-9 7zM32 34c-6 0-9-3-9-7 5 0 9 3 9 7zM32 34c6 0 9-3 9-7-5 0-9 3-9 7z" fill="currentColor"'
    ' stroke-width="2"/><path d="M8 60c-7-4-5-12 0-15 5 1 5 3 9 2 8 2 7 13 0 14-4 0-5-1-9-1z"'
    ' fill="currentColor" stroke-width="2"/><path d="M44 60V48l4-5v-5h7v5l4 5v12z"'
    ' fill="currentColor" stroke-width="3"/>',
    "balloon": '<path d="M32 6c13 0 19 10 19 19 0 12-10 20-19 20s-19-8-19-20C13 16 19 6 32 6z"/>'
    '<path d="M27 52l5-7 5 7z" fill="currentColor"/>'
    '<path d="M32 52c-4 3 4 4 0 8" stroke-width="4"/>',
    "bin": '<path d="M14 34h36l-4 26H18z"/><path d="M25 42l1 11M39 42l-1 11" stroke-width="4"/>'
    '<path d="M10 28l16-6"/><path d="M36 4l9 3-4 14-9-3z" fill="currentColor"/>'
    '<path d="M48 10c6 4 7 9 5 15M49 21l4 5 5-4" stroke-width="4"/>',
    "breathe": '<circle cx="46" cy="18" r="11" fill="currentColor"/>'
    '<path d="M30 60V50c0-10 6-14 15-14s15 4 15 14v10z" fill="currentColor"/>'
    '<path d="M3 60V42c0-4 2-5 5-6v-8h6v8c3 1 5 2 5 6v18z"/>'
    '<path d="M11 28v-6h8M24 22h5M24 17l4-3" stroke-width="4.5"/>',
    "burst": '<path d="M22 58V36c0-4 3-7 7-8h6c4 1 7 4 7 8v22z"/>'
    '<path d="M24 18l14-6 2 5-14 6z" fill="currentColor"/>'
    '<path d="M14 26l-8-5M50 26l8-5M15 40l-8 2M49 40l8 2M48 12l5-7M16 12l-5-7"/>',
    "chain": '<path d="M5 4v56" stroke-width="7"/><path d="M24 60V30c0-7 6-8 8-12h9c2 4 8 5 8'
    ' 12v30z"/><path d="M32 17V9h9v8M27 7h19"/><g stroke-width="3.5">'
    '<ellipse cx="14" cy="38" rx="5.5" ry="3.5"/><ellipse cx="24" cy="38" rx="5.5" ry="3.5"/>'
    '<ellipse cx="35" cy="38" rx="6" ry="3.5"/><ellipse cx="47" cy="38" rx="6" ry="3.5"/></g>',
    "charger": '<path d="M18 61c-7 0-9-4-9-9V36c0-7 4-8 5-13v-4h10v4c1 5 5 6 5 13v16c0 5-3 9-9'
    ' 9z" fill="currentColor"/><path d="M19 13V4M31 16l5-7M36 27l9-3M38 39h9"'
    ' stroke-width="4.5"/><path d="M54 6v22M45 12l18 10M63 12l-18 10" stroke-width="3.8"/>',
    "cold": '<path d="M32 6v52M9.5 19l45 26M54.5 19l-45 26"/>'
    '<path d="M25 10l7 7 7-7M25 54l7-7 7 7M10 28l9-3-2-9M54 36l-9 3 2 9M54 28l-9-3 2-9M10 36l9'
    ' 3-2 9" stroke-width="4"/>',
    "cool": '<path d="M4 12h20c8 0 11 3 11 9v1M14 12V5M7 5h14"/>'
    '<path d="M35 27v4M27 26v4M43 26v4" stroke-width="4"/>'
    '<path d="M2 42h18l9-9c3-2 7 1 5 4l-4 6h24c5 0 5 6 1 7 2 2 1 6-3 6-1 3-3 4-6 4H26c-4'
    ' 0-6-3-8-3H2z" fill="currentColor" stroke-width="2"/>'
    '<path d="M45 8c1-5 8-5 8 0 0 4-7 6-8 11h9M61 4.5c5 0 5 14 0 14s-5-14 0-14"'
    ' transform="translate(-4 0)" stroke-width="3.5"/>',
    "corrosive": '<path d="M4 18l18-8 3 7-18 8zM60 18l-18-8-3 7 18 8z"/>'
    '<path d="M21 24v3M20 32v3M43 24v3M44 32v3"/><path d="M4 46h11l4-6 5 5 4 1h2M4 56h26V46"/>'
    '<path d="M36 56c0-6 2-9 6-10l6-4 5 4h7v10z" fill="currentColor"/>',
    "cylinder": '<path d="M21 60V28c0-7 5-8 7-11h8c2 3 7 4 7 11v32z" fill="currentColor"/>'
    '<path d="M28 17V9h8v8M23 8h18"/>',
    "douse": '<path d="M6 46h38v6c0 5-3 8-7 8H13c-4 0-7-3-7-8z" fill="currentColor"/>'
    '<path d="M44 48h16"/><path d="M25 18c2 6 10 9 10 16 0 4-4 8-10 8s-10-4-10-8c0-4 4-6 5-10 2'
    ' 1 3 3 3 5 2-3 3-6 2-11z" stroke-width="4"/><path d="M42 4l16 6-5 13-11-4z"/>'
    '<path d="M40 24l-3 4M46 27l-2 4" stroke-width="4"/>',
    "dry-ice": '<path d="M20 60c-8-6-10-18-3-26 4-4 5-6 5-11h16c0 5 1 7 5 11 7 8 5 20-3 26z"/>'
    '<path d="M21 10h18v13H21z" fill="currentColor"/>'
    '<path d="M22 46h8v8h-8zM32 38h8v8h-8z" fill="currentColor" stroke-width="2"/>'
    '<path d="M6 20L1 15M54 20l5-5M4 44H0M56 44h5M46 8l4-6M14 8l-4-6" stroke-width="4.5"/>',
    "egg": '<path d="M8 36l7-6 7 7 7-7 7 7 7-7 7 6c0 14-9 24-21 24S8 50 8 36z"/>'
    '<circle cx="28" cy="47" r="6" fill="currentColor"/>'
    '<path d="M12 24C14 12 21 4 29 4s15 8 17 20l-6-4-6 6-6-6-6 6z"/>'
    '<path d="M54 8c0 0 6 8 6 12a6 6 0 0 1-12 0c0-4 6-12 6-12z" fill="currentColor"'
    ' stroke-width="3"/>',
    "exit": '<path d="M38 8h18v48H38"/><circle cx="25" cy="14" r="5.5" fill="currentColor"/>'
    '<path d="M24 24l-5 15 11 7v12M19 39L8 46M12 28l12-4 10 8" stroke-width="5.5"/>',
    "eye": '<path d="M4 44c8-11 17-16 28-16s20 5 28 16c-8 10-17 15-28 15S12 54 4 44z"/>'
    '<circle cx="32" cy="44" r="7.5" fill="currentColor"/>'
    '<path d="M32 4v16M22 8v9M42 8v9" stroke-width="5"/>',
    "flame": '<path d="M34 5c3 11 15 17 15 34a17 17 0 0 1-34 0c0-9 6-13 8-20 3 3 4 6 5 9 5-7'
    ' 7-14 6-23z"/><path d="M32 56c-5 0-7-4-7-7 0-5 4-7 6-11 4 4 8 7 8 12 0 4-3 6-7 6z"'
    ' stroke-width="4"/>',
    "flat": '<circle cx="8" cy="44" r="6" fill="currentColor"/>'
    '<path d="M18 46h20l14-16h8" stroke-width="7"/><path d="M18 52l12 2" stroke-width="5"/>'
    '<path d="M46 56V42h14v14z" fill="currentColor"/><path d="M2 60h60" stroke-width="4"/>',
    "fridge": '<path d="M8 4h30v56H8z"/><path d="M8 24h30M15 12v5M15 31v9" stroke-width="4.5"/>'
    '<path d="M52 18v26M41 24.5l22 13M63 24.5l-22 13" stroke-width="4"/>',
    "gas-off": '<path d="M22 4v34M22 54v8" stroke-width="7"/>'
    '<path d="M4 46h28M52 46h10" stroke-width="6"/>'
    '<path d="M32 36v20l20-20v20z" fill="currentColor" stroke-width="3"/>'
    '<path d="M42 46V28M33 27h18"/><path d="M32 18c4-9 16-9 20 0M53 9v10h-9" stroke-width="4"/>'
    '<path d="M10 12v2M6 26v2M12 34v2" stroke-width="6"/>',
    "gauge": '<circle cx="32" cy="32" r="25"/><path d="M32 35L45 21"/>'
    '<circle cx="32" cy="35" r="3.5" fill="currentColor"/><path d="M14 35h4M19 20l3 3M32 13v4"/>'
    '<path d="M50 35h-4" stroke-width="8"/>',
    "general": '<path d="M32 8v30" stroke-width="11"/><circle cx="32" cy="55" r="4"'
    ' fill="currentColor"/>',
    "glass": '<path d="M8 28l8-8 6 8 7-12 6 11 7-7-4 34a5 5 0 0 1-5 5H17a5 5 0 0 1-5-5z"/>'
    '<path d="M36 4l13 4-8 10z" fill="currentColor"/>'
    '<path d="M52 22l10 8-11 6z" fill="currentColor"/>',
    "gloves": '<path d="M22 46V33l-8-9c-3-5 3-8 6-4l4 5V13c0-6 7-6 7 0v9-12c0-6 7-6 7 0v12-9c0-5'
    ' 7-5 7 0v10c0-5 6-5 6 0v12c0 5-3 8-6 11z"/><path d="M21 46h25v12H21z" fill="currentColor"/>',
    "goggles": '<path d="M11 22h42c4 0 5 4 5 8v3c0 7-4 11-11 11-6 0-8-3-10-7-2-3-8-3-10 0-2 4-4'
    ' 7-10 7-7 0-11-4-11-11v-3c0-4 1-8 5-8z"/><path d="M6 30H2M62 30h-4"/>'
    '<path d="M14 30l6-4M42 30l6-4" stroke-width="3.5"/>',
    "hot": '<path d="M6 36h42v14c0 6-4 10-9 10H15c-5 0-9-4-9-10z"/><path d="M48 41h12"/>'
    '<path d="M14 28c-6-8 6-12 0-22M27 28c-6-8 6-12 0-22M40 28c-6-8 6-12 0-22"/>',
    "injector": '<circle cx="22" cy="9" r="6.5" fill="currentColor"/>'
    '<path d="M22 22v18M22 40l-8 20M22 40l6 20M22 24L10 36M22 24l10 8" stroke-width="7"/>'
    '<path d="M41 42h20v10H41z" fill="currentColor"/><path d="M41 47h-8" stroke-width="4"/>'
    '<path d="M56 32H40M45 27l-5 5 5 5" stroke-width="4"/>',
    "irritant": '<path d="M32 8v30" stroke-width="11"/><circle cx="32" cy="55" r="4"'
    ' fill="currentColor"/>',
    "label": '<path d="M14 60V30c0-6 6-7 6-13V6h12v11c0 6 6 7 6 13v30z"/>'
    '<path d="M14 36h24v14H14z" fill="currentColor" stroke-width="2"/>'
    '<path d="M44 22h18v18H44zM44 28h18M49 18v5M57 18v5" stroke-width="3.5"/>'
    '<path d="M49 34h8" stroke-width="4"/>',
    "lid": '<path d="M10 38h44v14c0 4-2 6-6 6H16c-4 0-6-2-6-6z"/><path d="M54 42h8"/>'
    '<path d="M10 32c2-8 10-11 22-11s20 3 22 11z" fill="currentColor"/><path d="M32 21v-5"/>'
    '<path d="M32 3v4M20 6l2 4M44 6l-2 4" stroke-width="4"/>',
    "lukewarm": '<path d="M4 36h56c0 14-8 24-20 24H24C12 60 4 50 4 36z"/>'
    '<path d="M10 44h44c-2 8-7 13-15 13H25c-8 0-13-5-15-13z" fill="currentColor"'
    ' stroke-width="0"/><path d="M6 8l16 20c4 5 9 4 9-1" stroke-width="7"/>'
    '<path d="M36 8c5-4 10 1 5 5 6 2 2 9-4 6M49 7h9l-5 14" stroke-width="3.5"/>',
    "meter": '<path d="M8 6h48v52H8z"/><path d="M24 17c-8-3-9 12 0 9M35 16c-7 0-7 11 0 11s7-11'
    ' 0-11M44 22c1-4 6-3 5 0 0 3-4 4-5 7h6" stroke-width="3.8"/>'
    '<path d="M17 38h30M17 48h8" stroke-width="5"/>'
    '<circle cx="45" cy="48" r="3.5" fill="currentColor"/>',
    "mix": '<path d="M4 8l12-5 10 20-12 6z" fill="currentColor"/>'
    '<path d="M60 8L48 3 38 23l12 6z"/><path d="M24 28l4 6M40 28l-4 6" stroke-width="4"/>'
    '<path d="M14 42h36v10c0 5-4 8-8 8H22c-4 0-8-3-8-8z"/><path d="M24 50h16" stroke-width="4"/>',
    "overfull": '<path d="M14 60V30c0-7 5-9 9-9h18c4 0 9 2 9 9v30z"/>'
    '<path d="M27 20v-8h10v8M37 8h12"/><path d="M17 32c4-4 7-4 10 0s7 4 10 0 7-4 10 0v24H17z"'
    ' fill="currentColor" stroke-width="2"/><path d="M2 46h8M54 46h9" stroke-width="5"/>',
    "person": '<circle cx="32" cy="11" r="6" fill="currentColor"/>'
    '<path d="M32 22v19M32 41l-8 17M32 41l8 17" stroke-width="6"/><path d="M14 33l8-10h20l8 10"/>',
    "phone": '<path d="M10 10l8-6 9 13-6 6c4 8 10 14 18 18l6-6 13 9-6 8c-5 6-13 4-20 0C21 45 14'
    ' 37 9 28 6 21 5 14 10 10z" fill="currentColor"/>'
    '<path d="M38 8c10 1 17 8 18 18M38 19c4 1 6 3 7 7" stroke-width="4.5"/>',
    "plant": '<path d="M26 40c-5 6-7 12-8 20"/><path d="M26 40C12 42 3 34 2 20c14 2 23 8 24 20z"'
    ' fill="currentColor"/><path d="M22 52c8 3 15 1 20-5-8-5-16-3-20 5z" fill="currentColor"'
    ' stroke-width="3"/><path d="M38 14c0-8 15-9 15 0 0 6-8 6-8 13"/>'
    '<circle cx="45" cy="37" r="1.5" fill="currentColor"/>',
    "plate": '<path d="M4 8h48v34H4z"/><path d="M13 19h30M13 29h10" stroke-width="4.5"/>'
    '<circle cx="38" cy="38" r="11"/><path d="M47 47l11 11" stroke-width="7"/>',
    "rub": '<path d="M2 42h18l9-9c3-2 7 1 5 4l-4 6h24c5 0 5 6 1 7 2 2 1 6-3 6-1 3-3 4-6 4H26c-4'
    ' 0-6-3-8-3H2z" fill="currentColor" stroke-width="2" transform="translate(0 4)"/>'
    '<path d="M62 10H46l-12 8H14c-5 0-5 6-1 7-2 3 0 6 3 6h28l8 2h10"/>'
    '<path d="M10 4h26M15 0l-6 4 6 5M31 0l6 4-6 5" stroke-width="3.5"/>',
    "sealed": '<path d="M16 24h32v32c0 3-2 4-4 4H20c-2 0-4-1-4-4z"/>'
    '<path d="M14 12h36v9H14z" fill="currentColor"/>'
    '<path d="M24 44h10v10H24zM34 34h9v9h-9z" fill="currentColor" stroke-width="2"/>'
    '<path d="M20 5c8-4 16-4 24 0M45 0v6h-7" stroke-width="3.5"/>',
    "serve": '<path d="M10 22h38l-4 38H14z"/><path d="M20 46h10v9H20zM29 35h10v9H29z"'
    ' fill="currentColor" stroke-width="2"/><path d="M18 16c-4-5 4-7 0-13M30 16c-4-5 4-7 0-13M42'
    ' 16c-4-5 4-7 0-13" stroke-width="4"/><path d="M34 28L56 4" stroke-width="4"/>',
    "shared": '<path d="M6 20h28l-4 36H10z"/><path d="M38 32h20l-3 24H41z"/>'
    '<path d="M24 12c8-8 20-6 24 6M41 15l8 5 6-8" stroke-width="4"/>',
    "shoes": '<path d="M14 6h18v26c4 6 20 6 26 14v6H14z" fill="currentColor"/>'
    '<path d="M12 59h48"/><path d="M38 28l5-6M46 32l4-7" stroke-width="4"/>',
    "side": '<circle cx="9" cy="40" r="6.5" fill="currentColor"/>'
    '<path d="M20 42h22" stroke-width="10"/><path d="M42 42l8-10 6 18" stroke-width="7"/>'
    '<path d="M42 46l10 6h8" stroke-width="6"/><path d="M22 44l6 10H10" stroke-width="5"/>'
    '<path d="M2 60h60" stroke-width="4"/>',
    "slip": '<circle cx="14" cy="14" r="6" fill="currentColor"/>'
    '<path d="M20 24l10 16 16 2 12-8M30 40l16-12" stroke-width="6.5"/>'
    '<path d="M20 26l16-6M20 26L8 38" stroke-width="5"/>'
    '<path d="M4 58h18M30 58h4M42 58h18" stroke-width="5"/>',
    "smoke": '<path d="M14 42C2 42 1 28 11 26 9 12 27 6 34 15c10-6 20 2 17 12 10 1 11 15 0'
    ' 15z"/><path d="M27 26c-8-4-10 9 0 7M38 24.5c-5 0-5 9 0 9s5-9 0-9" stroke-width="4"/>'
    '<path d="M8 58l6-8 8 8zM26 58l6-8 8 8zM44 58l6-8 8 8z" fill="currentColor"'
    ' stroke-width="3"/>',
    "spoiled": '<path d="M8 60V26l8-10h18l8 10v34z"/><path d="M16 16V6h18v10" />'
    '<circle cx="20" cy="38" r="3.5" fill="currentColor"/>'
    '<circle cx="31" cy="44" r="3.5" fill="currentColor"/>'
    '<circle cx="19" cy="50" r="3" fill="currentColor"/>'
    '<circle cx="51" cy="18" r="10.5" stroke-width="4"/>'
    '<path d="M51 12v6l5 3" stroke-width="3.5"/>',
    "stove": '<path d="M22 42V24c0-4 3-6 6-7V8h10v9c3 1 6 3 6 7v18z" fill="currentColor"/>'
    '<path d="M38 9h12"/><path d="M6 46h52"/><path d="M16 60c-4-4 0-6 1-9 3 4 4 6 1 9M33 60c-4-4'
    ' 0-6 1-9 3 4 4 6 1 9M50 60c-4-4 0-6 1-9 3 4 4 6 1 9" stroke-width="3.5"/>',
    "tell": '<circle cx="14" cy="34" r="7" fill="currentColor"/>'
    '<path d="M2 60c0-9 4-14 12-14s12 5 12 14z" fill="currentColor"/>'
    '<path d="M24 4h36v28H40l-9 8v-8h-7z"/><path d="M42 11v8" stroke-width="5.5"/>'
    '<circle cx="42" cy="25.5" r="1.2" fill="currentColor"/>',
    "unscrew": '<path d="M20 60V40c0-5 3-7 7-8h10c4 1 7 3 7 8v20z" fill="currentColor"/>'
    '<path d="M27 18h10v10H27z" fill="currentColor"/>'
    '<path d="M14 24c-6-8 4-16 18-16 12 0 24 6 20 15M58 16l-6 8-8-5" stroke-width="4.5"/>',
    "vent": '<path d="M18 60V46c0-5 4-6 7-8v-8h12v8c3 2 7 3 7 8v14z"/><path d="M31 30V20"/>'
    '<path d="M38 33h12l4 3" stroke-width="5.5"/>'
    '<path d="M55 12v14M50 21l5 6 5-6" stroke-width="4"/>'
    '<path d="M31 12V3M23 13l-5-8M39 13l4-8" stroke-width="5"/>',
    "vomit": '<circle cx="40" cy="14" r="8" fill="currentColor"/>'
    '<path d="M52 24c6 8 6 20 4 36M50 30l-14 10 2 12" stroke-width="6"/>'
    '<path d="M28 20l-8 4M26 27l-8 7M22 16l-10 2M18 40l-3 5M10 28l-4 4" stroke-width="4.5"/>'
    '<path d="M4 58c4-6 16-6 20 0z" fill="currentColor"/>',
    "water": '<path d="M4 12h26c8 0 11 3 11 9v1M18 12V5M11 5h14"/>'
    '<path d="M41 27v4M33 26v4M49 26v4" stroke-width="4"/>'
    '<path d="M2 42h18l9-9c3-2 7 1 5 4l-4 6h24c5 0 5 6 1 7 2 2 1 6-3 6-1 3-3 4-6 4H26c-4'
    ' 0-6-3-8-3H2z" fill="currentColor" stroke-width="2"/>',
    "window": '<path d="M30 6h28v48H30z"/><path d="M44 6v48M30 30h28" stroke-width="4"/>'
    '<path d="M30 6L16 14v48l14-8" fill="none"/>'
    '<path d="M4 22h8M2 34h10M4 46h8" stroke-width="4"/>',
}  # fmt: skip


def _symbol(name: str, pen: str, left: float, top: float, scale: float) -> str:
    return (
        f'<g transform="translate({left:g} {top:g}) scale({scale:g})" fill="none" stroke="{pen}"'
        f' color="{pen}" stroke-width="5" stroke-linecap="round" stroke-linejoin="round">'
        f"{SYMBOLS[name]}</g>"
    )


def _middle(name: str, pen: str, scale: float) -> str:
    """A symbol in the middle of a square of 100."""
    at = 50 - 32 * scale
    return _symbol(name, pen, at, at, scale)


def _warning(name: str) -> str:
    """Equal sides; black border 0.06 of the base, the yellow more than half of it."""
    return (
        f'<path d="M50 3.5L96 83.1H4z" fill="{YELLOW}" stroke="{BLACK}" stroke-width="6"'
        f' stroke-linejoin="round"/>{_symbol(name, BLACK, 30.8, 38.5, 0.6)}'
    )


def _prohibition(name: str) -> str:
    """Ring 0.1 and bar 0.08 of the diameter, the bar unbroken over the symbol."""
    return (
        f'<circle cx="50" cy="50" r="45" fill="#fff"/>{_middle(name, BLACK, 0.9)}'
        f'<circle cx="50" cy="50" r="45" fill="none" stroke="{RED}" stroke-width="10"/>'
        f'<path d="M18.2 18.2L81.8 81.8" stroke="{RED}" stroke-width="8"/>'
    )


def _mandatory(name: str) -> str:
    return f'<circle cx="50" cy="50" r="50" fill="{BLUE}"/>{_middle(name, "#fff", 1.1)}'


def _safe(name: str) -> str:
    return f'<path d="M0 0h100v100H0z" fill="{GREEN}"/>{_middle(name, "#fff", 1.2)}'


def _fire(name: str) -> str:
    return f'<path d="M0 0h100v100H0z" fill="{RED}"/>{_middle(name, "#fff", 1.2)}'


def _hazard(name: str) -> str:
    """White ground, a red frame, a black symbol, on its point."""
    return (
        f'<path d="M50 4L96 50 50 96 4 50z" fill="#fff" stroke="{RED}" stroke-width="5"'
        f' stroke-linejoin="miter"/>{_middle(name, BLACK, 0.76)}'
    )


_SHAPES = {
    "warning": _warning,
    "prohibition": _prohibition,
    "mandatory": _mandatory,
    "safe": _safe,
    "fire": _fire,
    "hazard": _hazard,
}


def drawn(words: str, title: str = "", wide_px: int = 0) -> str:
    """A sign as SVG by its shape and symbol, such as "warning cold"; its size is the page's own.

    wide_px: its width where the page has none for it. Without a title it is hidden from what reads
    a page aloud, as the words beside it say the same; with one it is an image of that name. Raises
    FileProblem where there is no such shape or symbol.
    """
    shape, _, name = words.partition(" ")
    if shape not in _SHAPES or name not in SYMBOLS:
        raise FileProblem(
            f'there is no sign "{words}". Shapes: {", ".join(_SHAPES)}. Symbols: '
            f"{', '.join(SYMBOLS)}."
        )
    high = 100 * TRIANGLE_HEIGHT if shape == "warning" else 100
    told = 'role="img"' if title else 'aria-hidden="true" focusable="false"'
    named = f"<title>{escape(title)}</title>" if title else ""
    size = f' width="{wide_px}" height="{wide_px * high / 100:g}"' if wide_px else ""
    return (
        f'<svg class="sign {shape}"{size} viewBox="0 0 100 {high:g}" {told}>{named}'
        f"{_SHAPES[shape](name)}</svg>"
    )


# ---- the closed list of hazards and actions ----

LIST = "signs.toml"
KINDS = ("hazard", "action")
MOST_WORDS = 12  # of a meaning


@dataclass(frozen=True)
class Picture:
    """A hazard or an action: its sign, what it means in few words, the key of its source."""

    name: str
    kind: str
    meaning: str
    source: str


@cache
def pictures() -> dict[str, Picture]:
    """All pictures by name, in the order of the list; FileProblem on one that cannot be used."""
    found: dict[str, Picture] = {}
    for row in blocks.blocks(LIST, "sign"):
        try:
            one = Picture(**row)
        except TypeError as error:
            raise FileProblem(f"a sign in {LIST} cannot be used: {error}.") from error
        drawn(one.name)
        if one.kind not in KINDS or one.name in found:
            raise FileProblem(
                f'the sign "{one.name}" in {LIST} is there twice, or is neither of: '
                f"{', '.join(KINDS)}."
            )
        found[one.name] = one
    return found


def picture(name: str) -> Picture:
    """A picture by its name; FileProblem where the list has none."""
    found = pictures().get(name)
    if found is None:
        raise FileProblem(f'"{name}" is none of the pictures in {LIST}.')
    return found


def alert(signal: str) -> str:
    """The mark beside a signal word, in the colours of its panel."""
    ground, mark = ("#fff", RED) if signal == "danger" else (BLACK, ORANGE)
    return (
        f'<svg viewBox="0 0 100 86.6" aria-hidden="true" focusable="false"><path d="M50 0L100'
        f' 86.6H0z" fill="{ground}"/><path d="M50 33v25" stroke="{mark}" stroke-width="10"'
        f' stroke-linecap="round"/><circle cx="50" cy="73" r="6" fill="{mark}"/></svg>'
    )


# ---- the shapes beside the words of a card that no safety sign has ----

_OPEN = '<svg viewBox="0 0 64 64" aria-hidden="true" focusable="false" fill="none"'
_PEN = 'stroke="currentColor" stroke-width="5" stroke-linecap="round" stroke-linejoin="round"'
VERDICTS = {
    "care": '<path d="M32 6L60 56H4z"/><path d="M32 24v15" stroke-width="6"/>'
    '<circle cx="32" cy="47.5" r="1.5" fill="currentColor"/>',
    "stop": '<path d="M21 5h22l16 16v22L43 59H21L5 43V21z"/><path d="M18 32h28" stroke-width="8"/>',
}


def of_verdict(name: str) -> str:
    """The shape of a verdict; a clear one has none, since it does not mean safe."""
    shape = VERDICTS.get(name)
    return f"{_OPEN} {_PEN}>{shape}</svg>" if shape else ""


def prohibition() -> str:
    """What must not be done: ring 0.1 and bar 0.08 of the diameter, from upper left."""
    return (
        f'{_OPEN}><circle cx="32" cy="32" r="27.9" fill="#fff" stroke="{RED}" stroke-width="6.2"/>'
        f'<path d="M12.3 12.3l39.4 39.4" stroke="{RED}" stroke-width="5"/></svg>'
    )


# ---- the address of a calculation as a code that a telephone reads ----

_QUIET = 4  # modules of white edge, as the standard of the code asks
MOST_LETTERS = 600  # a longer address makes modules too fine for a card


@lru_cache(maxsize=64)  # a link that opens once is not kept for ever
def rows(address: str) -> tuple[str, ...]:
    """The rows of the code, "1" for black, its white edge included.

    Empty where there is no address, where it is too long for a card, or where the library of the
    page's extra is not installed.
    """
    if not address or len(address) > MOST_LETTERS:
        return ()
    try:
        import segno
    except ModuleNotFoundError:
        return ()
    code = segno.make(address, error="l", micro=False, boost_error=False)
    return tuple(
        "".join("1" if module else "0" for module in row) for row in code.matrix_iter(border=_QUIET)
    )


def path(found: tuple[str, ...]) -> str:
    """The black modules of a code as the path of an SVG, one unit for each module."""
    drawn = []
    for y, row in enumerate(found):
        x = 0
        while x < len(row):
            if row[x] == "1":
                end = len(row) if "0" not in row[x:] else row.index("0", x)
                drawn.append(f"M{x} {y}h{end - x}v1h-{end - x}z")
                x = end
            else:
                x += 1
    return "".join(drawn)


# ---- a vessel's plate as a picture, like a photograph of stamped metal ----

WIDTH = 420
_LINE, _TOP, _BOTTOM, _EDGE = 26, 44, 30, 20
_VALUE_AT = 210
WORN = "worn away"


def plate_svg(lines: Sequence[tuple[str, str]], place: int = 1) -> str:
    """The plate with its lines; a line whose value is worn away is drawn as scratches.

    `place` tells apart several plates of one document.
    """
    height = _TOP + _LINE * len(lines) + _BOTTOM
    metal = f"metal-{place}"
    title = (
        f"{_('Plate of the vessel.')} "
        + "; ".join(f"{label}: {value}" for label, value in lines)
        + "."
    )
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" role="img" '
        f'font-family="Liberation Mono, DejaVu Sans Mono, monospace" font-size="13">'
        f"<title>{escape(title)}</title>",
        f'<defs><linearGradient id="{metal}" x1="0" y1="0" x2="1" y2="1">'
        '<stop offset="0" stop-color="#f4f4f4"/><stop offset="0.45" stop-color="#d9d9d9"/>'
        '<stop offset="0.55" stop-color="#efefef"/><stop offset="1" stop-color="#cfcfcf"/>'
        "</linearGradient></defs>",
        f'<rect width="{WIDTH}" height="{height}" fill="#8a8a8a"/>',
        f'<g transform="rotate(-0.6 {WIDTH / 2:g} {height / 2:g})">',
        f'<rect x="10" y="10" width="{WIDTH - 20}" height="{height - 20}" rx="10" '
        f'fill="url(#{metal})" stroke="#222" stroke-width="2"/>',
        *_rivets(height),
        f'<text x="{WIDTH / 2:g}" y="32" text-anchor="middle" font-weight="bold" '
        'letter-spacing="4">SIPHON</text>',
    ]
    for row, (label, value) in enumerate(lines):
        parts += _line(_TOP + _LINE * row + 16, label, value)
    parts += [_scratch(60, height - 34, 130, height - 52), _scratch(300, 26, 352, 18), "</g></svg>"]
    return "".join(parts)


def _rivets(height: int) -> list[str]:
    at = ((_EDGE + 4, _EDGE + 4), (WIDTH - _EDGE - 4, _EDGE + 4),
          (_EDGE + 4, height - _EDGE - 4), (WIDTH - _EDGE - 4, height - _EDGE - 4))  # fmt: skip
    return [
        f'<circle cx="{x}" cy="{y}" r="5" fill="#bbb" stroke="#333"/>'
        f'<line x1="{x - 3}" y1="{y - 2}" x2="{x + 3}" y2="{y + 2}" stroke="#333"/>'
        for x, y in at
    ]


def _line(y: int, label: str, value: str) -> list[str]:
    stamped = f'<text x="40" y="{y}" fill="#222">{escape(label.upper())}</text>'
    if not value.startswith(WORN):
        return [
            stamped,
            f'<text x="{_VALUE_AT}" y="{y}" font-weight="bold">{escape(value)}</text>',
        ]
    smear = "".join(
        _scratch(_VALUE_AT + 12 * step, y + 3 - 9 * (step % 2), _VALUE_AT + 12 * step + 26, y - 7)
        for step in range(10)
    )
    return [
        stamped,
        f'<rect x="{_VALUE_AT}" y="{y - 13}" width="150" height="17" fill="#c4c4c4"/>',
        smear,
    ]


def _scratch(x1: int, y1: int, x2: int, y2: int) -> str:
    return f'<line x1="{x1}" y1="{y1}" x2="{x2}" y2="{y2}" stroke="#999" stroke-width="1"/>'
