/** The way to the sign-in, and from there to where somebody was going. */

/** The sign-in, which leads back to this page. */
export function signInAddress() {
  const then = location.pathname + location.search + location.hash;
  return `/sign-in?${new URLSearchParams({ then })}`;
}

/** Leave for the sign-in. */
export function goToSignIn() {
  location.assign(signInAddress());
}

/**
 * Where to go after the sign-in: a path of this host, whatever the address asks for.
 * @param {string | null} wanted
 * @returns {string}
 */
export function placeAfter(wanted) {
  const here = location.origin;
  if (!/^\/(?![/\\])/.test(wanted ?? "")) return `${here}/`;
  const place = new URL(wanted, here);
  const isSheet = /^\/(?!\/|(sign-in|join)$)/.test(place.pathname);
  return place.origin === here && isSheet ? place.href : `${here}/`;
}

/**
 * What somebody is in a project; a keeper is planner in all.
 * @param {any} session As the service tells it. @param {number} project
 */
export function roleIn({ entry, role, roles, is_keeper: isKeeper }, project) {
  if (entry === "open") return role;
  return isKeeper ? "planner" : roles[project];
}

/** Whether somebody may begin projects. @param {any} session */
export function mayBegin({ entry, role, is_keeper: isKeeper }) {
  return entry === "open" ? role !== "owner" : isKeeper;
}
