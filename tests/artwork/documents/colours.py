"""Documents on colours, opacity, visibility and paint (CSS Color 4; SVG 2, 13.2 and 3.6), one rule each."""

FORMS = {
    "name": "teal",
    "name-upper": "TEAL",
    "hex3": "#18c",
    "hex4": "#18c8",
    "hex6": "#1188cc",
    "hex8": "#1188cc66",
    "hex-upper": "#AABBCC",
    "rgb": "rgb(20,120,220)",
    "rgb-spaces": "rgb( 20 , 120 , 220 )",
    "rgb-percent": "rgb(10%,50%,90%)",
    "rgb-fraction": "rgb(20.4,120.6,220)",
    "rgb-beyond": "rgb(300,-20,120)",
    "rgb-modern": "rgb(20 120 220)",
    "rgba": "rgba(20,120,220,.5)",
    "rgba-percent": "rgba(20,120,220,50%)",
    "rgb-alpha": "rgb(20,120,220,.5)",
    "hsl": "hsl(210,80%,50%)",
    "hsl-modern": "hsl(210 80% 50%)",
    "hsl-beyond": "hsl(930,80%,50%)",
    "hsl-negative": "hsl(-150,80%,50%)",
    "hsla": "hsla(210,80%,50%,.4)",
    "transparent": "transparent",
    "current": "currentColor",
    "none": "none",
    "unknown": "sunny",
    "hex5": "#12345",
    "empty-function": "rgb()",
    "missing-fallback": "url(#zz) teal",
    "missing-none": "url(#zz) none",
    "missing": "url(#zz)",
    "missing-current": "url(#zz) currentColor",
    "grey": "grey",
    "gray": "lightgray",
    "goldenrod": "lightgoldenrodyellow",
}
TWO = '<rect x="20" y="20" width="100" height="100" fill="#c03030"/><circle cx="120" cy="120" r="60" fill="#3050c0"/>'
BOTH = 'fill="gold" stroke="#306030" stroke-width="24"'
DOCUMENTS = (
    {
        f"fill-{k}": f'<g color="green"><rect x="20" y="20" width="160" height="160" fill="{v}"/></g>'
        for k, v in FORMS.items()
    }
    | {
        f"stroke-{k}": f'<g color="green"><circle cx="100" cy="100" r="60" fill="none" stroke-width="30" stroke="{v}"/></g>'
        for k, v in FORMS.items()
    }
    | {
        f"style-{k}": f'<g color="green"><rect x="20" y="20" width="160" height="160" style="fill:{v}"/></g>'
        for k, v in FORMS.items()
    }
    | {
        f"order-{i}": f'<rect x="40" y="40" width="120" height="120" {BOTH} paint-order="{v}"/>'
        for i, v in enumerate(
            (
                "normal",
                "stroke",
                "stroke fill",
                "fill stroke",
                "fill",
                "markers",
                "markers stroke",
                "stroke stroke",
                "stroke foo",
                "stroke markers fill",
            )
        )
    }
    | {
        f"order-css-{i}": f'<rect x="40" y="40" width="120" height="120" {BOTH} style="paint-order:{v}"/>'
        for i, v in enumerate(("stroke", "fill"))
    }
    | {
        f"opacity-{i}": f'<rect x="40" y="40" width="120" height="120" {BOTH} opacity="{v}"/>'
        for i, v in enumerate((".5", "50%", "0", "-1", "2", "foo", "1"))
    }
    | {
        f"fill-opacity-{i}": f'<rect x="40" y="40" width="120" height="120" {BOTH} fill-opacity="{v}"/>'
        for i, v in enumerate((".5", "50%", "0", "-1", "2", "foo"))
    }
    | {
        f"stroke-opacity-{i}": f'<rect x="40" y="40" width="120" height="120" {BOTH} stroke-opacity="{v}"/>'
        for i, v in enumerate((".5", "50%", "0", "-1", "2", "foo"))
    }
    | {
        "group-opacity": f'<g opacity=".5">{TWO}</g>',
        "nested-opacity": f'<g opacity=".7"><g opacity=".6">{TWO}</g><rect x="60" y="60" width="50" height="120" fill="green"/></g>',
        "group-of-one": '<g opacity=".4"><rect width="100" height="100"/></g>',
        "opacity-twice": f'<g opacity=".6"><rect x="30" y="30" width="140" height="140" {BOTH} opacity=".6"/></g>',
        "use-opacity": f'<defs><g id="q">{TWO}</g></defs><use href="#q" opacity=".4"/>',
        "svg-opacity": f'<g/><svg opacity=".4">{TWO}</svg>',
        "symbol-opacity": f'<symbol id="q" opacity=".4">{TWO}</symbol><use href="#q"/>',
        "text-opacity": '<text x="10" y="120" font-size="80" font-family="DejaVu Sans" stroke="red" stroke-width="8" opacity=".5">Word</text>',
        "opacity-over": f'<rect width="200" height="100" fill="#ffd040"/><g opacity=".5">{TWO}</g>',
        "switch-opacity": f'<switch opacity=".4"><g>{TWO}</g></switch>',
        "link-opacity": f'<a opacity=".4">{TWO}</a>',
        "hidden": f'<g visibility="hidden">{TWO}<rect width="50" height="50" visibility="visible" fill="lime"/></g>',
        "collapse": f'<g visibility="collapse">{TWO}</g><rect width="30" height="30"/>',
        "display": f'<g display="none">{TWO}<rect width="50" height="50" display="inline" fill="lime"/></g><rect x="100" width="50" height="50"/>',
        "display-block": '<rect width="90" height="90" display="block"/>',
        "hidden-style": '<rect width="90" height="90" style="visibility:hidden"/><rect x="100" y="100" width="50" height="50" style="display:none"/><rect x="120" width="50" height="50"/>',
        "inherit": '<g fill="teal" stroke="red" stroke-width="9"><rect x="20" y="20" width="90" height="90" fill="inherit"/></g>',
        "inherit-opacity": f'<g opacity=".5"><g opacity="inherit">{TWO}</g></g>',
        "current-inherited": '<g color="red" fill="currentColor"><rect color="blue" width="90" height="90"/></g>',
        "current-nested": '<g color="purple"><g><rect width="90" height="90" fill="currentColor" stroke="currentColor"/></g></g>',
        "current-css": "<style>g{color:orange} rect{fill:currentColor}</style><g><rect width='90' height='90'/></g>",
        "color-inherit": '<g color="red"><rect color="inherit" fill="currentColor" width="90" height="90"/></g>',
        "default-fill": '<circle cx="100" cy="100" r="50"/>',
        "open-path": '<path d="M40 40L160 60L100 160" fill="teal" stroke="black" stroke-width="6"/>',
        "line-no-fill": '<line x1="20" y1="20" x2="180" y2="150" fill="red"/><rect width="9" height="9"/>',
        "nonzero": '<path d="M100 10L160 190L10 80H190L40 190z" fill="teal"/>',
        "evenodd": '<path d="M100 10L160 190L10 80H190L40 190z" fill="teal" fill-rule="evenodd" stroke="black" stroke-width="3"/>',
        "rule-unknown": '<path d="M100 10L160 190L10 80H190L40 190z" fill="teal" fill-rule="foo"/>',
        "important": "<style>rect{fill:red!important}</style><rect width='90' height='90' style='fill:blue'/>",
        "rendering": '<rect x="20.5" y="20.5" width="90" height="90" shape-rendering="geometricPrecision" fill="teal"/>',
        "context-in-use": '<defs><g id="q"><rect x="20" y="20" width="60" height="60" fill="context-fill" stroke="context-stroke" stroke-width="8"/></g></defs><use href="#q" fill="gold" stroke="teal"/><use href="#q" x="80" y="80" fill="red" stroke="black"/>',
        "crisp": '<circle cx="100" cy="90" r="70" fill="teal" shape-rendering="crispEdges"/><path d="M10 180L190 150" stroke="red" stroke-width="6"/>',
        "optimize-speed": '<g shape-rendering="optimizeSpeed"><path d="M10 20L190 150L30 170" fill="none" stroke="red" stroke-width="6"/></g>',
        "optimize-precision": '<path d="M10 20L190 150L30 170" fill="teal" shape-rendering="geometricPrecision"/>',
        "crisp-clip": '<clipPath id="c"><circle cx="100" cy="100" r="60"/></clipPath><path d="M10 20L190 150L30 170z" fill="teal" shape-rendering="crispEdges" clip-path="url(#c)"/>',
        "first-letter-upper": '<rect width="90" height="90" fill="Red"/>',
        "two-in-style": '<rect width="90" height="90" style="fill:red;fill:blue"/>',
        "style-unknown-after": '<rect width="90" height="90" style="fill:blue;fill:sunny"/>',
    }
)
