// At a desk the contents stand open beside the page; on a phone they fold.

const contents = document.querySelector("details.page-contents");
const wide = matchMedia("(min-width: 1100px)");

function unfold() {
  contents?.toggleAttribute("open", wide.matches);
}

wide.addEventListener("change", unfold);
unfold();
