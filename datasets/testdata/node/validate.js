// node validate.js PROFILE EDITION...: what general-purpose validators say about
// editions, as a JSON array on stdout; a PROFILE of - leaves that check out.
// NODE_PATH names the installed packages.
const fs = require('fs')
const path = require('path')
const Ajv = require('ajv')
const Ajv2020 = require('ajv/dist/2020')
const addFormats = require('ajv-formats')
const { Package } = require('datapackage')

async function report(edition, profile) {
  const found = { profile: [], documents: {}, descriptor: [], rows: {}, errors: [] }
  const read = (...parts) => JSON.parse(fs.readFileSync(path.join(...parts), 'utf8'))
  if (profile !== '-') {
    const ajv = new Ajv({ strict: false, allErrors: true })
    addFormats(ajv)
    const valid = ajv.compile(read(profile))
    found.profile = valid(read(edition, 'datapackage.json')) ? [] : valid.errors.map((e) => `${e.instancePath} ${e.message}`)
  }
  const ajv = new Ajv2020({ strict: false, allErrors: true })
  addFormats(ajv)
  const valid = ajv.compile(read(edition, 'schema', 'subject.schema.json'))
  for (const name of fs.readdirSync(path.join(edition, 'subjects')).sort()) {
    found.documents[name] = valid(read(edition, 'subjects', name)) ? [] : valid.errors.map((e) => `${e.instancePath} ${e.message}`)
  }
  const p = await Package.load(path.join(edition, 'datapackage.json'))
  found.descriptor = p.errors.map(String)
  for (const resource of p.resources) {
    try {
      const rows = await resource.read({ relations: true, keyed: true })
      found.rows[resource.name] = rows.length
    } catch (e) {
      for (const one of e.errors && e.errors.length ? e.errors : [e]) found.errors.push(`${resource.name}: ${one.message}`)
    }
  }
  return found
}

async function main(profile, ...editions) {
  const all = []
  for (const edition of editions) all.push(await report(edition, profile))
  console.log(JSON.stringify(all))
}

main(...process.argv.slice(2)).catch((e) => {
  console.error(e)
  process.exit(1)
})
