// Where somebody signs in nobody is signed in: pages that were kept on this device go. What was typed
// and not yet sent stays, for whoever typed it.
window.caches?.delete("inspections");
