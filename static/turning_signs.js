// The shape of each state: a triangle is next, a square to be held, a cross broken, a ring the part in question.

const SIGNS = {
  next(context, x, y) {
    context.moveTo(x - 6, y - 8);
    context.lineTo(x + 8, y);
    context.lineTo(x - 6, y + 8);
    context.closePath();
  },
  hold(context, x, y) {
    context.rect(x - 8, y - 8, 16, 16);
  },
  broken(context, x, y) {
    context.moveTo(x - 8, y - 8);
    context.lineTo(x + 8, y + 8);
    context.moveTo(x - 8, y + 8);
    context.lineTo(x + 8, y - 8);
  },
  this(context, x, y) {
    context.moveTo(x + 9, y);
    context.arc(x, y, 9, 0, 2 * Math.PI);
  },
};

/** Draw one, with room round it. */
export function sign(context, name, [x, y], colours) {
  context.beginPath();
  SIGNS[name](context, x, y);
  context.strokeStyle = colours.paper;
  context.lineWidth = 7;
  context.stroke();
  context.strokeStyle = context.fillStyle = colours[{ next: "new", broken: "damaged" }[name] ?? name];
  context.lineWidth = 3.5;
  context.stroke();
  if (name === "next") {
    context.fill();
  }
}
