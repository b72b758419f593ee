// Remembers the ticked boxes of this page in this browser. The page works without it.
addEventListener("DOMContentLoaded", function () {
  var boxes = document.querySelectorAll("input.tick"), name = location.pathname + document.title;
  try {
    var kept = JSON.parse(localStorage.getItem(name) || "[]");
    boxes.forEach(function (box, place) { box.checked = kept.indexOf(place) >= 0; });
    addEventListener("change", function () {
      var ticked = [];
      boxes.forEach(function (box, place) { if (box.checked) ticked.push(place); });
      localStorage.setItem(name, JSON.stringify(ticked));
    });
  } catch (refused) { /* a browser may keep nothing: the boxes still tick */ }
});
