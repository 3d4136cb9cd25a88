#include "handoff/report_sections.h"

namespace seamwright::report {

namespace {

constexpr std::string_view kScript = R"js(
(function () {
  'use strict';
  window.addEventListener('beforeprint', function () {
    document.querySelectorAll('details').forEach(function (d) { d.open = true; });
  });
  var stage = document.getElementById('stage'), canvas = stage && stage.querySelector('canvas');
  var gl = canvas && (canvas.getContext('webgl', {antialias: true, alpha: false}));
  if (!gl) return;
  var data = JSON.parse(document.getElementById('pieces-data').textContent);
  var names = document.getElementById('names'), slider = document.getElementById('apart'), marks = document.getElementById('marks');

  function bytes(text) {
    var raw = atob(text), out = new Uint8Array(raw.length);
    for (var i = 0; i < raw.length; ++i) out[i] = raw.charCodeAt(i);
    return out.buffer;
  }
  function upright(p) {
    return data.upright.map(function (r) { return r[0] * p[0] + r[1] * p[1] + r[2] * p[2]; });
  }
  function colour(hex) {
    return [1, 3, 5].map(function (i) { return parseInt(hex.substr(i, 2), 16) / 255; });
  }
  function sub(a, b) { return [a[0] - b[0], a[1] - b[1], a[2] - b[2]]; }
  function cross(a, b) { return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]; }
  function dot(a, b) { return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]; }
  function unit(a) { var l = Math.sqrt(dot(a, a)) || 1; return [a[0] / l, a[1] / l, a[2] / l]; }

  // Normals averaged over neighbours that meet softly (under 35 degrees): round is round, edges are sharp.
  function softNormals(points, corners, skins) {
    var faces = corners.length / 3, flat = [], around = new Map(), normals = new Float32Array(corners.length * 3);
    for (var f = 0; f < faces; ++f) {
      var a = points[corners[3 * f]], b = points[corners[3 * f + 1]], c = points[corners[3 * f + 2]];
      flat.push(cross(sub(b, a), sub(c, a)));
      for (var k = 0; k < 3; ++k) {
        var v = corners[3 * f + k];
        if (!around.has(v)) around.set(v, []);
        around.get(v).push(f);
      }
    }
    var units = flat.map(unit);
    for (var i = 0; i < corners.length; ++i) {
      var own = Math.floor(i / 3), near = around.get(corners[i]), sum = [0, 0, 0];
      for (var n = 0; n < near.length && near.length <= 48; ++n) {
        var o = near[n];
        if ((o < skins) !== (own < skins) || dot(units[o], units[own]) < 0.82) continue;
        for (var d = 0; d < 3; ++d) sum[d] += flat[o][d];
      }
      normals.set(dot(sum, sum) > 0 ? unit(sum) : units[own], 3 * i);
    }
    return normals;
  }

  // Where skin meets anything else, each end with the normals of the two faces. A line whose faces both look away lies
  // behind its own piece. A rim of a mark, a channel or a seat is seen where its skin is: its walls stand across the
  // skin, so that some of them face the viewer from behind the wall.
  function seamEdges(points, corners, skins, caps) {
    var seen = new Map(), lines = [];
    function normal(f) {
      var a = points[corners[3 * f]];
      return unit(cross(sub(points[corners[3 * f + 1]], a), sub(points[corners[3 * f + 2]], a)));
    }
    for (var i = 0; i < corners.length; ++i) {
      var a = corners[i], b = corners[i % 3 === 2 ? i - 2 : i + 1], key = Math.min(a, b) * 4294967296 + Math.max(a, b);
      var face = Math.floor(i / 3), other = seen.get(key);
      if (other === undefined) { seen.set(key, face); continue; }
      var skin = Math.min(face, other), rest = Math.max(face, other);
      if (skin >= skins || rest < skins) continue;
      var n = normal(skin), m = rest < skins + caps ? normal(rest) : n;
      lines.push.apply(lines, points[a].concat(n, m, points[b], n, m));
    }
    return new Float32Array(lines);
  }

  function buffer(values) {
    var b = gl.createBuffer();
    gl.bindBuffer(gl.ARRAY_BUFFER, b);
    gl.bufferData(gl.ARRAY_BUFFER, values, gl.STATIC_DRAW);
    return b;
  }
  var low = [1e9, 1e9, 1e9], high = [-1e9, -1e9, -1e9];
  function load(piece) {
    var q = new Uint16Array(bytes(piece.points)), corners = new Uint32Array(bytes(piece.corners)), points = [];
    for (var i = 0; i < q.length; i += 3) {
      var p = upright([0, 1, 2].map(function (k) { return piece.low[k] + piece.step * q[i + k]; }));
      for (var k = 0; k < 3; ++k) { low[k] = Math.min(low[k], p[k]); high[k] = Math.max(high[k], p[k]); }
      points.push(p);
    }
    var flat = new Float32Array(corners.length * 3);
    for (var c = 0; c < corners.length; ++c) flat.set(points[corners[c]], 3 * c);
    var edges = seamEdges(points, corners, piece.skins, piece.caps), name = document.createElement('span');
    name.className = 'mark';
    name.textContent = piece.mark;
    names.appendChild(name);
    return {points: buffer(flat), normals: buffer(softNormals(points, corners, piece.skins)), lines: buffer(edges),
            lineCount: edges.length / 9, skinCount: 3 * piece.skins, count: corners.length, skin: colour(piece.skin),
            cap: colour(piece.cap), move: upright(piece.move), name: name};
  }

  function program(vertex, fragment) {
    var p = gl.createProgram();
    [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]].forEach(function (part) {
      var s = gl.createShader(part[0]);
      gl.shaderSource(s, part[1]);
      gl.compileShader(s);
      gl.attachShader(p, s);
    });
    gl.bindAttribLocation(p, 0, 'point');
    gl.bindAttribLocation(p, 1, 'normal');
    gl.bindAttribLocation(p, 2, 'other');
    gl.linkProgram(p);
    return p;
  }
  var solid = program(
    'attribute vec3 point,normal;uniform mat4 view;uniform vec3 move;varying vec3 n;varying float up;' +
    'void main(){n=normal;up=normal.z;gl_Position=view*vec4(point+move,1.0);}',
    'precision mediump float;varying vec3 n;varying float up;uniform vec3 colour,lamp,eye;' +
    'void main(){vec3 m=normalize(n);float d=max(0.0,dot(m,lamp));float rim=pow(1.0-abs(dot(m,eye)),3.0);' +
    'gl_FragColor=vec4(pow(pow(colour,vec3(2.2))*(0.30+0.16*up+0.72*d)*(1.0-0.25*rim),vec3(1.0/2.2)),1.0);}');
  // Lines come nearer to the eye by about a pixel. Pushing the faces back by their slope would let what lies behind shine
  // through thin faces, whose slope on the screen is anything.
  var line = program(
    'attribute vec3 point,normal,other;uniform mat4 view;uniform vec3 move,eye;uniform float nearer;varying float facing;' +
    'void main(){vec3 p=point+move,d=eye-p;facing=max(dot(normal,d),dot(other,d));' +
    'gl_Position=view*vec4(p+nearer*normalize(d),1.0);}',
    'precision mediump float;varying float facing;uniform vec3 colour;' +
    'void main(){if(facing<0.0)discard;gl_FragColor=vec4(colour,1.0);}');
  // Pieces in numbers instead of colours, to find where each is seen.
  var numbers = program('attribute vec3 point;uniform mat4 view;uniform vec3 move;void main(){gl_Position=view*vec4(point+move,1.0);}',
                        'precision mediump float;uniform vec2 number;void main(){gl_FragColor=vec4(number,0.0,1.0);}');
  function at(p, name) { return gl.getUniformLocation(p, name); }

  var pieces = data.pieces.map(load);
  var middle = [0, 1, 2].map(function (k) { return (low[k] + high[k]) / 2; });
  var reach = Math.sqrt(dot(sub(high, low), sub(high, low)));
  var turn, tilt, zoom;
  function home() {
    var v = unit(data.viewer);
    turn = Math.atan2(v[0], -v[1]);
    tilt = Math.asin(v[2]);
    zoom = 1;
  }

  function viewMatrix(width, height) {
    var back = [Math.sin(turn) * Math.cos(tilt), -Math.cos(turn) * Math.cos(tilt), Math.sin(tilt)];
    var right = [Math.cos(turn), Math.sin(turn), 0], up = cross(back, right);
    var f = 1 / Math.tan(0.21), far = 2.25 * reach / zoom * Math.max(1, 1.6 * height / width);
    var near = Math.max(far - 2.5 * reach, 0.01 * reach), end = far + 2.5 * reach;
    var a = (near + end) / (near - end), b = 2 * near * end / (near - end), sx = f * height / width;
    function row(v, o) { return [v[0], v[1], v[2], -dot(v, middle) + o]; }
    var r = row(right, 0), u = row(up, 0), z = row(back, -far);
    var m = [];
    for (var c = 0; c < 4; ++c) m.push(sx * r[c], f * u[c], a * z[c] + (c === 3 ? b : 0), -z[c]);
    var eye = [0, 1, 2].map(function (k) { return middle[k] + far * back[k]; });
    return {m: m, back: back, right: right, up: up, eye: eye, pixel: 2 * far / (f * height)};
  }

  // Of each number in a picture of w pixels a row: the pixel nearest to the middle of all that show it, and how many do.
  function spotsIn(pixels, w, count) {
    var spots = [], i, n;
    for (n = 0; n < count; ++n) spots.push({seen: 0, x: 0, y: 0, off: 1e9, left: 0, top: 0});
    function each(visit) {
      for (i = 0; 4 * i < pixels.length; ++i) {
        n = pixels[4 * i] + 256 * pixels[4 * i + 1] - 1;
        if (n >= 0 && n < count) visit(spots[n], i % w, Math.floor(i / w));
      }
    }
    each(function (s, x, y) { ++s.seen; s.x += x; s.y += y; });
    each(function (s, x, y) {
      var off = Math.hypot(x - s.x / s.seen, y - s.y / s.seen);
      if (off < s.off) { s.off = off; s.left = x; s.top = y; }
    });
    return spots;
  }

  var small = null, kShrink = 6;
  function smallPicture(w, h) {
    if (small && small.w === w && small.h === h) return small;
    if (small) { gl.deleteFramebuffer(small.frame); gl.deleteTexture(small.colours); gl.deleteRenderbuffer(small.depths); }
    small = {w: w, h: h, frame: gl.createFramebuffer(), colours: gl.createTexture(), depths: gl.createRenderbuffer()};
    gl.bindTexture(gl.TEXTURE_2D, small.colours);
    gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGBA, w, h, 0, gl.RGBA, gl.UNSIGNED_BYTE, null);
    gl.texParameteri(gl.TEXTURE_2D, gl.TEXTURE_MIN_FILTER, gl.NEAREST);
    gl.bindRenderbuffer(gl.RENDERBUFFER, small.depths);
    gl.renderbufferStorage(gl.RENDERBUFFER, gl.DEPTH_COMPONENT16, w, h);
    gl.bindFramebuffer(gl.FRAMEBUFFER, small.frame);
    gl.framebufferTexture2D(gl.FRAMEBUFFER, gl.COLOR_ATTACHMENT0, gl.TEXTURE_2D, small.colours, 0);
    gl.framebufferRenderbuffer(gl.FRAMEBUFFER, gl.DEPTH_ATTACHMENT, gl.RENDERBUFFER, small.depths);
    return small;
  }

  // A piece's mark stands where it is seen, and nowhere while others hide it.
  function placeNames(view, pull, width, height) {
    var w = Math.ceil(width / kShrink), h = Math.ceil(height / kShrink), to = smallPicture(w, h);
    gl.bindFramebuffer(gl.FRAMEBUFFER, to.frame);
    gl.viewport(0, 0, w, h);
    gl.clearColor(0, 0, 0, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    gl.useProgram(numbers);
    gl.uniformMatrix4fv(at(numbers, 'view'), false, view.m);
    pieces.forEach(function (piece, i) {
      gl.uniform3fv(at(numbers, 'move'), piece.move.map(function (x) { return x * pull; }));
      gl.uniform2f(at(numbers, 'number'), (i + 1) % 256 / 255, Math.floor((i + 1) / 256) / 255);
      gl.bindBuffer(gl.ARRAY_BUFFER, piece.points);
      gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
      gl.drawArrays(gl.TRIANGLES, 0, piece.count);
    });
    var pixels = new Uint8Array(4 * w * h);
    gl.readPixels(0, 0, w, h, gl.RGBA, gl.UNSIGNED_BYTE, pixels);
    gl.bindFramebuffer(gl.FRAMEBUFFER, null);
    spotsIn(pixels, w, pieces.length).forEach(function (spot, i) {
      var style = pieces[i].name.style;
      style.display = marks.checked && spot.seen > 2 ? '' : 'none';
      style.left = 100 * (spot.left + 0.5) / w + '%';
      style.top = (1 - (spot.top + 0.5) / h) * height + 'px';
    });
  }

  function drawPiece(piece, pull, view) {
    var move = piece.move.map(function (x) { return x * pull; });
    gl.useProgram(solid);
    gl.uniform3fv(at(solid, 'move'), move);
    gl.bindBuffer(gl.ARRAY_BUFFER, piece.points);
    gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
    gl.bindBuffer(gl.ARRAY_BUFFER, piece.normals);
    gl.vertexAttribPointer(1, 3, gl.FLOAT, false, 0, 0);
    gl.enableVertexAttribArray(1);
    gl.uniform3fv(at(solid, 'colour'), piece.skin);
    gl.drawArrays(gl.TRIANGLES, 0, piece.skinCount);
    gl.uniform3fv(at(solid, 'colour'), piece.cap);
    gl.drawArrays(gl.TRIANGLES, piece.skinCount, piece.count - piece.skinCount);
    gl.useProgram(line);
    gl.uniform3fv(at(line, 'move'), move);
    gl.uniform3f(at(line, 'colour'), 0.17, 0.145, 0.19);
    gl.bindBuffer(gl.ARRAY_BUFFER, piece.lines);
    [0, 1, 2].forEach(function (k) {
      gl.enableVertexAttribArray(k);
      gl.vertexAttribPointer(k, 3, gl.FLOAT, false, 36, 12 * k);
    });
    gl.drawArrays(gl.LINES, 0, piece.lineCount);
    gl.disableVertexAttribArray(1);
    gl.disableVertexAttribArray(2);
  }

  var waiting = false;
  function draw() {
    waiting = false;
    var width = canvas.clientWidth, height = canvas.clientHeight, dense = Math.min(2, window.devicePixelRatio || 1);
    if (canvas.width !== Math.round(width * dense)) canvas.width = Math.round(width * dense);
    if (canvas.height !== Math.round(height * dense)) canvas.height = Math.round(height * dense);
    gl.enable(gl.DEPTH_TEST);
    gl.enableVertexAttribArray(0);
    var view = viewMatrix(width, height), pull = slider.value / 100 * 1.6;
    placeNames(view, pull, width, height);
    gl.viewport(0, 0, canvas.width, canvas.height);
    gl.clearColor(1, 0.996, 0.984, 1);
    gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
    var lamp = unit([0, 1, 2].map(function (k) { return 0.75 * view.back[k] + 0.55 * view.up[k] - 0.45 * view.right[k]; }));
    gl.useProgram(solid);
    gl.uniformMatrix4fv(at(solid, 'view'), false, view.m);
    gl.uniform3fv(at(solid, 'lamp'), lamp);
    gl.uniform3fv(at(solid, 'eye'), view.back);
    gl.useProgram(line);
    gl.uniformMatrix4fv(at(line, 'view'), false, view.m);
    gl.uniform3fv(at(line, 'eye'), view.eye);
    gl.uniform1f(at(line, 'nearer'), view.pixel);
    pieces.forEach(function (piece) { drawPiece(piece, pull, view); });
  }
  function redraw() { if (!waiting) { waiting = true; window.requestAnimationFrame(draw); } }
  function turnBy(x, y) { turn -= x; tilt = Math.max(-1.55, Math.min(1.55, tilt + y)); redraw(); }
  function zoomBy(ratio) { zoom = Math.max(0.4, Math.min(8, zoom * ratio)); redraw(); }

  var fingers = new Map();
  function spread() {
    var p = Array.from(fingers.values());
    return Math.hypot(p[0].x - p[1].x, p[0].y - p[1].y);
  }
  canvas.addEventListener('pointerdown', function (e) { fingers.set(e.pointerId, {x: e.clientX, y: e.clientY}); canvas.setPointerCapture(e.pointerId); });
  canvas.addEventListener('pointermove', function (e) {
    var last = fingers.get(e.pointerId);
    if (!last) return;
    var before = fingers.size === 2 ? spread() : 0;
    if (fingers.size === 1) turnBy((e.clientX - last.x) * 0.008, (e.clientY - last.y) * 0.008);
    fingers.set(e.pointerId, {x: e.clientX, y: e.clientY});
    if (before > 0) zoomBy(spread() / before);
  });
  ['pointerup', 'pointercancel'].forEach(function (kind) { canvas.addEventListener(kind, function (e) { fingers.delete(e.pointerId); }); });
  canvas.addEventListener('wheel', function (e) {
    if (document.activeElement !== canvas) return;  // the page still scrolls until the picture is clicked
    e.preventDefault();
    zoomBy(Math.exp(-e.deltaY * 0.0015));
  }, {passive: false});
  canvas.addEventListener('keydown', function (e) {
    var keys = {ArrowLeft: [-0.12, 0], ArrowRight: [0.12, 0], ArrowUp: [0, 0.1], ArrowDown: [0, -0.1]};
    if (keys[e.key]) turnBy(keys[e.key][0], keys[e.key][1]);
    else if (e.key === '+' || e.key === '=') zoomBy(1.15);
    else if (e.key === '-') zoomBy(1 / 1.15);
    else if (e.key === 'a' || e.key === 'A') { slider.value = +slider.value + 5; redraw(); }
    else if (e.key === 'z' || e.key === 'Z') { slider.value = +slider.value - 5; redraw(); }
    else return;
    e.preventDefault();
  });
  slider.addEventListener('input', redraw);
  marks.addEventListener('change', redraw);
  document.getElementById('home').addEventListener('click', function () { home(); redraw(); });
  window.addEventListener('resize', redraw);
  stage.hidden = false;
  document.documentElement.classList.add('live');
  home();
  redraw();
})();
)js";

}  // namespace

std::string_view script() {
  return kScript;
}

}  // namespace seamwright::report
